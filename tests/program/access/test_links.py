"""The one-time link: it works once, for a while, and on a new program makes the owner."""

import datetime
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from breeding.program import clock
from breeding.program.models import Person, SignInLink
from breeding.program.queries import the_program
from breeding.program.services import (
    change_person,
    find_sign_in_link,
    make_sign_in_link,
    use_sign_in_link,
)
from tests import cast

pytestmark = pytest.mark.django_db

DAY = datetime.timedelta(days=1)
SET_UP = {
    "program_name": "Lantern Street Rays",
    "time_zone": "America/Chicago",
    "called": "Jo",
    "username": "jo",
    "password": cast.PASSWORD,
}


def made_for(person, *, ago=datetime.timedelta(0)):
    token = make_sign_in_link(person, now=clock.now() - ago, good_for=DAY)
    return reverse("program:link", args=[token])


def test_link_signs_in_once(owner):
    address = made_for(owner)
    first, second = Client(), Client()
    assert first.post(address).url == reverse("agenda:day")
    assert first.get(reverse("agenda:day")).status_code == 200
    assert second.post(address).status_code == 410
    assert second.get(address).status_code == 410
    assert second.get(reverse("agenda:day")).status_code == 302


@pytest.mark.parametrize("how", ["get", "head", "options"])
def test_looking_at_a_link_neither_spends_it_nor_signs_in(owner, how):
    """A chat program looks at it, a browser fetches it in advance."""
    address, looking = made_for(owner), Client()
    for _ in range(3):
        getattr(looking, how)(address)
    assert looking.get(reverse("agenda:day")).status_code == 302
    assert "Sign in as Jo" in looking.get(address).content.decode()
    assert Client().post(address).status_code == 302


def test_a_form_of_another_site_does_not_spend_a_link(owner):
    address = made_for(owner)
    assert Client(enforce_csrf_checks=True).post(address).status_code == 403
    assert Client().post(address).status_code == 302


@pytest.mark.parametrize(("hours", "status"), [(23, 302), (24, 410), (25, 410)])
def test_link_works_for_a_day(owner, hours, status):
    address = made_for(owner, ago=datetime.timedelta(hours=hours))
    assert Client().post(address).status_code == status


def test_link_that_nobody_made_is_spent(owner):
    for token in ("x", "%00", "..", "a" * 500):
        answer = Client().get(reverse("program:link", args=[token]))
        assert answer.status_code == 410
        assert "no longer works" in answer.content.decode()


def test_link_is_replaced_by_the_next_one_for_the_same_person(owner, keeper):
    old, other, new = made_for(owner), made_for(keeper), made_for(owner)
    assert Client().post(old).status_code == 410
    assert Client().post(other).status_code == 302
    assert Client().post(new).status_code == 302


def test_link_of_a_closed_account_signs_nobody_in(owner, keeper):
    address = made_for(keeper)
    change_person(keeper, called="Sam", role="keeper", is_active=False)
    client = Client()
    assert client.get(address).status_code == 410
    assert client.post(address).status_code == 410
    assert client.get(reverse("agenda:day")).status_code == 302


def test_only_a_hash_of_the_link_is_kept(owner):
    token = make_sign_in_link(owner, now=clock.now(), good_for=DAY)
    (kept,) = SignInLink.objects.all()
    assert token not in str(vars(kept))
    assert find_sign_in_link(token, now=clock.now()) == kept


def test_two_at_the_same_moment_get_one_sign_in(owner):
    token = make_sign_in_link(owner, now=clock.now(), good_for=DAY)
    one, other = (find_sign_in_link(token, now=clock.now()) for _ in range(2))
    assert use_sign_in_link(one, now=clock.now()) == owner
    assert use_sign_in_link(other, now=clock.now()) is None


# ---------------------------------------------------------------------------- a new program


def test_link_of_a_new_program_asks_for_its_name_and_makes_the_owner(db):
    address, client = made_for(None), Client()
    page = client.get(address).content.decode()
    assert "What is the program called?" in page
    assert client.get(address).status_code == 200  # looking does not use it up
    answer = client.post(address, SET_UP, follow=True)
    assert "Lantern Street Rays is set up." in answer.content.decode()
    jo = Person.objects.get()
    assert (jo.username, jo.is_owner, jo.is_staff, jo.check_password(cast.PASSWORD)) == (
        "jo",
        True,
        True,
        True,
    )
    program = the_program()
    assert (program.name, program.time_zone, program.is_demo) == (
        "Lantern Street Rays",
        "America/Chicago",
        False,
    )
    assert Client().get(address).status_code == 410
    assert Client().post(address, SET_UP | {"username": "kit"}).status_code == 410
    assert Person.objects.count() == 1


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"program_name": ""}, "is empty; needed is text of up to 80 characters."),
        ({"time_zone": "Moon/Tycho"}, "“Moon/Tycho” is not a time zone; write it like"),
        (
            {"username": "jo smith"},
            "allowed is a word of letters, digits, hyphens and underscores.",
        ),
        ({"username": ""}, "“Name to sign in with” is empty"),
        ({"password": "12345678"}, "too common"),
        ({"password": "short"}, "too short"),
        ({"password": ""}, "“Password” is empty"),
        ({"called": "x" * 61}, "at most 60 characters"),
    ],
)
def test_link_of_a_new_program_stays_good_until_the_form_is(db, wrong, said):
    address, client = made_for(None), Client()
    page = client.post(address, SET_UP | wrong).content.decode()
    assert said in page
    assert not Person.objects.exists()
    assert client.post(address, SET_UP).status_code == 302
    assert Person.objects.get().is_owner


def test_link_of_a_new_program_makes_one_owner_when_two_press_at_once(db, monkeypatch):
    """Both have found the link before either has used it."""
    from breeding.program import services

    address = made_for(None)
    token = address.rstrip("/").rpartition("/")[2]
    both_found = find_sign_in_link(token, now=clock.now())
    monkeypatch.setattr(services, "find_sign_in_link", lambda *_, **__: both_found)
    assert Client().post(address, SET_UP).status_code == 302
    assert Client().post(address, SET_UP | {"username": "kit"}).status_code == 410
    assert [person.username for person in Person.objects.all()] == ["jo"]


def test_link_of_a_new_program_is_not_used_up_by_a_name_that_is_taken(owner):
    address = made_for(None)
    answer = Client().post(address, SET_UP)
    assert answer.status_code == 200
    assert "“jo” is taken already" in answer.content.decode()
    assert Client().get(address).status_code == 200


# -------------------------------------------------------------------------------- make_link


def test_make_link_prints_a_path_that_signs_in(owner):
    said = StringIO()
    call_command("make_link", "jo", stdout=said)
    path = said.getvalue().strip()
    assert path.startswith("/link/")
    assert Client().post(path).url == reverse("agenda:day")


def test_make_link_can_ask_for_a_new_password(owner):
    said = StringIO()
    call_command("make_link", "jo", "--new-password", stdout=said)
    path, client = said.getvalue().strip(), Client()
    assert "A new password" in client.get(path).content.decode()
    assert client.post(path, {"new_password": "a-heron-at-dusk"}).url == reverse("agenda:day")
    owner.refresh_from_db()
    assert owner.check_password("a-heron-at-dusk")


def test_make_link_for_nobody_names_who_there_is(owner, keeper):
    change_person(keeper, called="Sam", role="keeper", is_active=False)
    for name in ("nobody", "sam"):
        with pytest.raises(CommandError, match=f"Nobody signs in as {name}. Known are: jo."):
            call_command("make_link", name)
