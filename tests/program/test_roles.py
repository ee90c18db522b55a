"""Who may do what, on every route there is: strangers nothing, viewers read, keepers write."""

import pytest
from django.test import Client
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.program.models import Person
from tests import cast
from tests.test_never_500 import ROUTES

pytestmark = pytest.mark.django_db

OPEN_TO_STRANGERS = {
    "program:sign_in": 200,
    "program:favicon": 302,
    "program:link": 410,
    "agenda:feed": 404,
    "sheets:shared": 404,
    "sheets:shared_file": 404,
    "sheets:shared_picture": 404,
    "offers:offer": 404,
    "offers:picture": 404,
}
# What a viewer may post to, about nobody but themselves, and the answer to nothing in particular.
FOR_VIEWERS_TO_POST = {
    "program:sign_out": 302,
    "program:columns": 404,
    "agenda:reminders": 422,
    "agenda:feed_address": 302,
    "agenda:send_again": 404,
}
IDS = [route for route, _ in ROUTES]


def address(route, parts):
    return reverse(
        route,
        kwargs={part: 1 if part.endswith("pk") or part == "number" else "x" for part in parts},
    )


@pytest.fixture(scope="module")
def people(kept_for_the_file):
    """An owner, a keeper, a viewer and a ray, written once: every test undoes what it writes."""
    cast.owner()
    cast.keeper()
    cast.viewer()
    cast.female("Mira")


@pytest.fixture
def owner(people):
    return Person.objects.get(username="jo")


@pytest.fixture
def keeper(people):
    return Person.objects.get(username="sam")


@pytest.fixture
def viewer(people):
    return Person.objects.get(username="kit")


@pytest.fixture
def one_of_each(people):
    """The first row of the animals, so that nothing is refused for not being there."""
    return Animal.objects.get(call_name="Mira")


@pytest.mark.parametrize(("route", "parts"), ROUTES, ids=IDS)
@pytest.mark.parametrize("how", ["get", "post", "put", "delete", "head", "options"])
def test_a_stranger_is_sent_to_sign_in(one_of_each, route, parts, how):
    answer = getattr(Client(), how)(address(route, parts))
    if route in OPEN_TO_STRANGERS:
        assert answer.status_code in (OPEN_TO_STRANGERS[route], 405)
    else:
        assert answer.status_code == 302
        assert answer.url.startswith(reverse("program:sign_in"))


@pytest.mark.parametrize(("route", "parts"), ROUTES, ids=IDS)
@pytest.mark.parametrize("how", ["post", "put", "delete", "patch"])
def test_a_viewer_writes_nowhere(as_viewer, one_of_each, route, parts, how):
    answer = getattr(as_viewer, how)(address(route, parts))
    if route in FOR_VIEWERS_TO_POST:
        assert answer.status_code == (FOR_VIEWERS_TO_POST[route] if how == "post" else 405)
    elif route not in OPEN_TO_STRANGERS:
        assert answer.status_code == 403


OWNERS = ("program:settings", "program:people", "program:person")


@pytest.mark.parametrize("route", OWNERS)
def test_a_keeper_does_not_reach_the_people_and_the_settings(as_keeper, keeper, route):
    parts = [keeper.pk] if route == "program:person" else []
    for how in ("get", "post"):
        answer = getattr(as_keeper, how)(reverse(route, args=parts))
        assert answer.status_code == 403
        assert "Only an owner of the program may do this." in answer.content.decode()


def test_a_viewer_is_told_why(as_viewer):
    page = as_viewer.get(reverse("animals:new")).content.decode()
    assert "You can read here; only keepers and owners may write." in page


def test_one_who_was_signed_in_is_out_when_the_account_is_closed(as_keeper, keeper):
    assert as_keeper.get(reverse("agenda:day")).status_code == 200
    keeper.is_active = False
    keeper.save()
    assert as_keeper.get(reverse("agenda:day")).status_code == 302


def test_a_keeper_who_becomes_a_viewer_writes_no_more(as_keeper, keeper):
    keeper.role = "viewer"
    keeper.save()
    assert as_keeper.get(reverse("animals:new")).status_code == 403


@pytest.mark.parametrize(("who", "status"), [("owner", 200), ("keeper", 302), ("viewer", 302)])
def test_every_row_can_be_read_by_owners_alone(request, one_of_each, who, status):
    client = request.getfixturevalue(f"as_{who}")
    assert client.get(reverse("admin:index")).status_code == status
    listed = client.get(reverse("admin:animals_animal_changelist"))
    assert listed.status_code == status


def test_rows_are_read_there_and_never_changed(as_owner, one_of_each):
    change = reverse("admin:animals_animal_change", args=[one_of_each.pk])
    assert as_owner.get(change).status_code == 200
    assert as_owner.post(change, {"call_name": "Vega"}).status_code == 403
    assert as_owner.get(reverse("admin:animals_animal_add")).status_code == 403
    assert (
        as_owner.post(
            reverse("admin:animals_animal_delete", args=[one_of_each.pk]), {"post": "yes"}
        ).status_code
        == 403
    )
    one_of_each.refresh_from_db()
    assert one_of_each.call_name == "Mira"


def test_no_password_stands_among_the_rows(as_owner, owner):
    page = as_owner.get(reverse("admin:program_person_change", args=[owner.pk])).content.decode()
    assert owner.password not in page
    assert cast.PASSWORD not in page


def test_a_form_without_its_token_is_refused_in_plain_words(keeper):
    client = Client(enforce_csrf_checks=True)
    client.force_login(keeper)
    answer = client.post(reverse("agenda:answer"), {"key": "overdue:1:x", "done": "1"})
    assert answer.status_code == 403
    assert "The form was too old to be taken" in answer.content.decode()


def test_signing_in_goes_on_where_one_was_going_and_never_abroad(keeper):
    sign_in = reverse("program:sign_in")
    sent = {"username": "sam", "password": cast.PASSWORD}
    inside = Client().post(sign_in, sent | {"next": reverse("animals:index")})
    assert inside.url == reverse("animals:index")
    for abroad in ("https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)"):
        assert Client().post(sign_in, sent | {"next": abroad}).url == reverse("agenda:day")


def test_a_wrong_password_signs_nobody_in(keeper):
    client = Client()
    answer = client.post(reverse("program:sign_in"), {"username": "sam", "password": "guess"})
    assert answer.status_code == 200
    assert client.get(reverse("agenda:day")).status_code == 302


def test_pages_say_what_they_may_load(as_viewer, stranger):
    for client, page in ((as_viewer, "agenda:day"), (stranger, "program:sign_in")):
        policy = client.get(reverse(page)).headers["Content-Security-Policy"]
        assert "default-src 'self'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe-inline" not in policy.split("style-src")[0]
