"""Ending the digest from the mail itself: by the mail program's button, or by the link."""

import re

import pytest
from django.test import Client

from breeding.agenda.models import DigestChoice
from breeding.agenda.sent.outbox import remind
from breeding.agenda.services import stop_token
from tests.agenda.test_outbox import at, choose, late, postbox  # noqa: F401 - fixtures

pytestmark = pytest.mark.django_db
BASE = "https://rays.example.org"


@pytest.fixture
def mail(keeper, postbox, late):  # noqa: F811
    """A digest as it came to Sam."""
    choose(keeper, server_address=f"{BASE}/")
    remind(at("2026-03-03T07:00"))
    (taken,) = postbox.taken
    return taken


def address_in(mail) -> str:
    """A long header goes on in a second line, which begins with a blank."""
    (address,) = re.fullmatch(r"\s*<(\S+)>", mail["List-Unsubscribe"]).groups()
    return address


@pytest.fixture
def path(mail):
    return address_in(mail).removeprefix(BASE)


def is_on(person) -> bool:
    return DigestChoice.objects.get(person=person).is_on


def as_a_mail_program() -> Client:
    """It has no cookie and no token of a form."""
    return Client(enforce_csrf_checks=True)


def test_the_mail_carries_the_button_of_the_mail_program(mail):
    assert address_in(mail).startswith(f"{BASE}/stop/")
    assert mail["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"


def test_the_words_of_the_mail_hold_the_link_too(mail):
    for kind in ("plain", "html"):
        assert f"{BASE}/stop/" in mail.get_body((kind,)).get_content()


def test_one_click_ends_it_without_signing_in(path, keeper, postbox):  # noqa: F811
    answer = as_a_mail_program().post(path, {"List-Unsubscribe": "One-Click"}, secure=True)
    assert answer.status_code == 200
    assert not is_on(keeper)
    remind(at("2026-03-04T07:00"))
    assert len(postbox.taken) == 1


def test_looking_at_the_link_ends_nothing(path, keeper):
    page = as_a_mail_program().get(path)
    assert page.status_code == 200
    assert "Stop the morning digest" in page.content.decode()
    assert is_on(keeper)


def test_pressing_twice_is_pressing_once(path, keeper):
    for _ in range(2):
        page = as_a_mail_program().post(path)
        assert "You get no more morning digests" in page.content.decode()
    assert not is_on(keeper)


def test_a_viewer_who_is_signed_in_can_press_it(viewer, as_viewer):
    choose(viewer, server_address=BASE)
    assert as_viewer.post(f"/stop/{stop_token(viewer)}/").status_code == 200
    assert not is_on(viewer)


@pytest.mark.parametrize("change", [lambda one: one[:-1], lambda one: f"9{one}", lambda one: "x"])
def test_a_token_that_nobody_was_given_ends_nobodys(path, keeper, change):
    token = change(path.split("/")[2])
    for way in ("get", "post"):
        answer = getattr(as_a_mail_program(), way)(f"/stop/{token}/")
        assert answer.status_code == 404
    assert is_on(keeper)


def test_the_page_tells_nothing_of_the_person(path, keeper):
    said = as_a_mail_program().get(path).content.decode()
    assert "sam@example.org" not in said
    assert str(keeper) not in said


def test_without_a_known_address_there_is_no_button(keeper, postbox, late):  # noqa: F811
    choose(keeper)
    remind(at("2026-03-03T07:00"))
    assert postbox.taken[0]["List-Unsubscribe"] is None
