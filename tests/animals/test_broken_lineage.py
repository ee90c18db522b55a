"""A loop that was written around the tool stops no page from saying so, and is put right there."""

import pytest
from django.db import connection, transaction
from django.test import Client
from django.urls import reverse

from breeding.animals import lineage, revisions
from breeding.animals.models import Animal
from breeding.program.acts.once import new_token
from breeding.program.models import KeptForm, Person
from pedigree import LineageLoop
from tests import cast
from tests.everything import everything
from tests.routes import ROUTES, addresses

pytestmark = pytest.mark.django_db
FACTS = {"call_name": "Deneb", "sex": "M", "origin": "unknown", "state": "here"}


@pytest.fixture(autouse=True)
def _no_simulation_beside(monkeypatch):
    monkeypatch.setattr("breeding.planning.ahead.runs.run_beside", lambda asked: None)


@pytest.fixture(scope="module")
def owner(kept_for_the_file) -> Person:
    return everything()


@pytest.fixture
def client(owner) -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(owner)
    return client


@pytest.fixture
def loop(owner):
    """Deneb's dam is his own daughter; no act would have written it."""
    deneb = Animal.objects.get(call_name="Deneb")
    pup = Animal.objects.filter(dam__call_name="Mira").first()
    pup.call_name, pup.sex = "Nova", "F"
    pup.save()
    with connection.cursor() as cursor:
        cursor.execute("UPDATE animals_animal SET sire_id = %s WHERE id = %s", [deneb.pk, pup.pk])
        cursor.execute("UPDATE animals_animal SET dam_id = %s WHERE id = %s", [pup.pk, deneb.pk])
    revisions.parentage_changed()
    with pytest.raises(LineageLoop):
        lineage.current()
    return deneb, pup


def status(client, how, address):
    with transaction.atomic():
        answer = getattr(client, how)(address)
        if answer.streaming:
            b"".join(answer.streaming_content)
        transaction.set_rollback(True)
    return answer.status_code


def test_no_page_breaks_on_it(client, loop):
    asked = {one for route, parts in ROUTES for one in addresses(route, parts)[:3]}
    assert len(asked) > 100
    found = {one: status(client, "get", one) for one in asked}
    assert {one: code for one, code in found.items() if code >= 500} == {}
    assert 409 in found.values()


def test_no_sent_form_breaks_on_it(client, loop):
    asked = {addresses(route, parts)[0] for route, parts in ROUTES}
    assert [one for one in asked if status(client, "post", one) >= 500] == []


def test_the_page_names_them_and_leads_to_where_each_is_put_right(client, loop):
    deneb, pup = loop
    answer = client.get(reverse("animals:detail", args=[deneb.pk]))
    assert answer.status_code == 409
    page = cast.words(answer)
    assert "is among its own ancestors" in page
    for one, parent in ((deneb, f"dam {pup.full_name}"), (pup, f"sire {deneb.full_name}")):
        assert f'<a href="{reverse("animals:edit", args=[one.pk])}">{one.full_name}</a>' in page
        assert parent in page


def test_a_viewer_is_told_whom_to_ask(loop):
    client = Client()
    client.force_login(Person.objects.get(role="viewer"))
    page = cast.words(client.get(reverse("animals:detail", args=[loop[0].pk])))
    assert "Ask a keeper or an owner" in page
    assert "/edit/" not in page


def test_it_is_put_right_on_the_page_that_it_leads_to(client, owner, loop):
    deneb, _ = loop
    address = reverse("animals:edit", args=[deneb.pk])
    assert client.get(address).status_code == 200
    form = FACTS | {"dam": "", "once": new_token(owner)}
    answer = client.post(address, form)
    assert answer.status_code == 302
    assert client.get(answer["Location"]).status_code == 200
    assert client.get("/").status_code == 200


def test_another_parent_that_would_close_it_again_is_refused(client, owner, loop):
    deneb, pup = loop
    form = FACTS | {"sire": cast.male("Rigel").pk, "dam": pup.pk}
    answer = client.post(reverse("animals:edit", args=[deneb.pk]), form)
    assert answer.status_code == 200
    assert "an animal cannot be among its own ancestors" in cast.words(answer)


def test_what_was_sent_meanwhile_is_kept(client, owner, loop):
    form = {"female": loop[1].pk, "male": loop[0].pk, "introduced_on": "2026-01-01"}
    token = {"once": new_token(owner)}
    answer = client.post(reverse("pairings:new"), form | token)
    assert answer.status_code == 409
    assert "nothing was saved just now" in cast.words(answer)
    assert KeptForm.objects.get().person == owner


def test_a_parent_that_was_withdrawn_around_the_tool_is_named_too(client, owner):
    deneb = Animal.objects.get(call_name="Deneb")
    young = cast.ray("Nova", sire=deneb)
    with connection.cursor() as cursor:
        cursor.execute(
            "UPDATE animals_animal SET withdrawn_at = recorded_at, withdrawn_reason = 'x' "
            "WHERE id = %s",
            [deneb.pk],
        )
    revisions.parentage_changed()
    answer = client.get(reverse("animals:detail", args=[young.pk]))
    assert answer.status_code == 409
    page = cast.words(answer)
    assert "Deneb, a parent of Nova, is withdrawn" in page
    assert reverse("program:withdraw", args=["animal", deneb.pk]) in page
    assert client.get(reverse("animals:edit", args=[young.pk])).status_code == 200
