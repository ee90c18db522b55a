"""Two people change one record: the second sees what the first did, and decides."""

import re

import pytest
from django.urls import reverse

from breeding.housing.models import Tank
from tests.cast import words

pytestmark = pytest.mark.django_db
FACTS = {"kind": "breeding", "can_divide": "", "note": ""}


def seen_in(answer) -> str:
    return re.search(r'name="seen" value="([0-9a-f]+)"', answer.content.decode())[1]


@pytest.fixture
def pond():
    return Tank.objects.create(name="Pond", kind="breeding")


def test_the_second_is_told_what_the_first_did_and_nothing_is_overwritten(
    as_owner, as_keeper, pond
):
    address = reverse("housing:edit", args=[pond.pk])
    first, second = seen_in(as_owner.get(address)), seen_in(as_keeper.get(address))
    as_owner.post(address, {**FACTS, "name": "Pond of Jo", "seen": first})
    answer = as_keeper.post(address, {**FACTS, "name": "Pond of Sam", "seen": second})
    page = words(answer)
    assert "Jo changed this while you had it open (name: from Pond to Pond of Jo)" in page
    assert "Pond of Sam" in answer.content.decode()  # what was typed is kept
    assert Tank.objects.get().name == "Pond of Jo"


def test_saving_once_more_is_a_decision_and_is_taken(as_owner, as_keeper, pond):
    address = reverse("housing:edit", args=[pond.pk])
    first, second = seen_in(as_owner.get(address)), seen_in(as_keeper.get(address))
    as_owner.post(address, {**FACTS, "name": "Pond of Jo", "seen": first})
    told = as_keeper.post(address, {**FACTS, "name": "Pond of Sam", "seen": second})
    as_keeper.post(address, {**FACTS, "name": "Pond of Sam", "seen": seen_in(told)})
    assert Tank.objects.get().name == "Pond of Sam"


def test_another_mistake_on_the_way_does_not_hide_it(as_owner, as_keeper, pond):
    address = reverse("housing:edit", args=[pond.pk])
    first, second = seen_in(as_owner.get(address)), seen_in(as_keeper.get(address))
    as_owner.post(address, {**FACTS, "name": "Pond of Jo", "seen": first})
    refused = as_keeper.post(address, {**FACTS, "name": "", "seen": second})
    assert seen_in(refused) == second
    answer = as_keeper.post(address, {**FACTS, "name": "Pond of Sam", "seen": seen_in(refused)})
    assert "Jo changed this while you had it open" in words(answer)


def test_alone_nobody_is_told_anything(as_keeper, pond):
    address = reverse("housing:edit", args=[pond.pk])
    as_keeper.post(address, {**FACTS, "name": "Basin", "seen": seen_in(as_keeper.get(address))})
    assert Tank.objects.get().name == "Basin"
