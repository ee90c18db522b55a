"""Undoing asks for the right that the act asked for, and leaves the program an owner."""

import pytest
from django.urls import reverse

from breeding.program.models import Act, Person
from breeding.program.queries import the_program
from tests.cast import words

pytestmark = pytest.mark.django_db


def undo(client, act):
    return client.post(reverse("program:undo", args=[act.pk]))


def give(client, someone, role):
    facts = {"called": someone.first_name, "role": role, "is_active": "on"}
    assert client.post(reverse("program:person", args=[someone.pk]), facts).status_code == 302
    return Act.objects.latest("pk")


def role_of(someone) -> str:
    return Person.objects.get(pk=someone.pk).role


def test_who_gave_up_being_an_owner_does_not_take_it_back(as_owner, owner, keeper):
    give(as_owner, keeper, "owner")
    given_up = give(as_owner, owner, "keeper")
    answer = undo(as_owner, given_up)
    assert answer.status_code == 403
    assert "Only an owner of the program may do this." in words(answer)
    assert role_of(owner) == "keeper"


def test_what_somebody_wrote_as_an_owner_they_do_not_undo_as_a_keeper(as_owner, owner, keeper):
    promoted = give(as_owner, keeper, "owner")
    settings = reverse("program:settings")
    page = as_owner.get(settings)
    sent = {**page.context["form"].initial, "name": "Kettle House"}
    sent = {name: value for name, value in sent.items() if value is not None}
    assert as_owner.post(settings, sent).status_code == 302
    renamed = Act.objects.latest("pk")
    give(as_owner, owner, "keeper")
    for act in (promoted, renamed):
        assert undo(as_owner, act).status_code == 403
    assert role_of(keeper) == "owner"
    assert the_program().name == "Kettle House"


def test_undoing_leaves_no_program_without_an_owner(as_owner, as_keeper, owner, keeper):
    promoted = give(as_owner, keeper, "owner")
    give(as_owner, owner, "keeper")  # now the other one is the only owner
    answer = undo(as_keeper, promoted)
    assert answer.status_code == 409
    assert "make somebody else an owner first" in words(answer)
    assert role_of(keeper) == "owner"


def test_an_owner_undoes_what_they_did_to_a_role(as_owner, keeper):
    assert undo(as_owner, give(as_owner, keeper, "viewer")).status_code == 302
    assert role_of(keeper) == "keeper"
