"""Where somebody is signed in: listed by device and day, and ended."""

import datetime

import pytest
import time_machine
from django.contrib.sessions.models import Session
from django.db import OperationalError, connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.program.access import sessions
from breeding.program.access.devices import device_words
from breeding.program.access.models import SignedIn
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db

ACCOUNT, DAY = reverse("program:account"), reverse("agenda:day")
PHONE = "Mozilla/5.0 (Android 14; Mobile; rv:131.0) Gecko/131.0 Firefox/131.0"
DESK = (
    "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) "
    "Chrome/131.0.0.0 Safari/537.36"
)
TABLET = (
    "Mozilla/5.0 (iPad; CPU OS 17_0 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) "
    "Version/17.0 Mobile/15E148 Safari/604.1"
)


def signed_in(username="sam", agent=PHONE) -> Client:
    client = Client(headers={"User-Agent": agent})
    client.post(reverse("program:sign_in"), {"username": username, "password": cast.PASSWORD})
    return client


def is_in(client: Client) -> bool:
    return client.get(DAY).status_code == 200


@pytest.mark.parametrize(
    ("agent", "said"),
    [
        (PHONE, "a phone, Firefox"),
        (DESK, "a Windows computer, Chrome"),
        (TABLET, "a tablet, Safari"),
        ("curl/8.5.0", "an unknown device"),
        ("", "an unknown device"),
        ("Linux" * 900, "a Linux computer"),
    ],
)
def test_a_device_is_said_in_plain_words(agent, said):
    assert device_words(agent) == said


def test_each_place_is_listed_with_its_device_and_this_one_is_marked(keeper):
    phone, desk = signed_in(), signed_in(agent=DESK)
    page = words(phone.get(ACCOUNT))
    assert "<b>A phone, Firefox</b>, this one<br>" in page
    assert "<b>A Windows computer, Chrome</b><br>" in page
    assert page.count("last seen") == 2
    assert "<b>A Windows computer, Chrome</b>, this one<br>" in words(desk.get(ACCOUNT))


def test_the_day_on_which_it_was_last_seen_is_kept(keeper):
    with time_machine.travel("2026-03-03T12:00:00+00:00", tick=False):
        client = signed_in()
    with time_machine.travel("2026-03-05T12:00:00+00:00", tick=False):
        client.get(DAY)
    seen = SignedIn.objects.get()
    assert (seen.seen_on, seen.began_at.date()) == (cast.day("2026-03-05"), cast.day("2026-03-03"))


def test_a_day_is_written_down_once_and_then_asks_nothing(keeper):
    client = signed_in()
    client.get(ACCOUNT)
    more = reverse("program:more")
    client.get(more)
    key = client.session.session_key
    with CaptureQueriesContext(connection) as asked:
        client.get(more)
    assert asked.captured_queries
    assert not any("signedin" in one["sql"] for one in asked.captured_queries)
    assert SignedIn.objects.get().session_key == key


def test_one_other_is_ended(keeper):
    phone, desk = signed_in(), signed_in(agent=DESK)
    ending = SignedIn.objects.get(device="a Windows computer, Chrome")
    page = words(phone.post(reverse("program:end_session", args=[ending.pk]), follow=True))
    assert "You are signed out on a Windows computer, Chrome." in page
    assert (is_in(phone), is_in(desk)) == (True, False)


def test_all_others_are_ended(keeper):
    here, others = signed_in(), [signed_in(), signed_in(agent=TABLET)]
    page = words(here.post(reverse("program:end_sessions"), follow=True))
    assert "You are signed out on 2 other devices." in page
    assert is_in(here)
    assert not any(map(is_in, others))


def test_nobody_ends_a_session_of_somebody_else(keeper, owner):
    sam, jo = signed_in(), signed_in("jo")
    own = SignedIn.objects.get(person=owner)
    assert sam.post(reverse("program:end_session", args=[own.pk])).status_code == 404
    sam.post(reverse("program:end_sessions"))
    assert is_in(jo)


def test_an_owner_ends_every_session_of_somebody(as_owner, keeper):
    phones = [signed_in(), signed_in()]
    address = reverse("program:person", args=[keeper.pk])
    assert words(as_owner.get(address)).count("A phone, Firefox") == 2
    page = words(as_owner.post(reverse("program:person_sign_out", args=[keeper.pk]), follow=True))
    assert "Sam is signed out: 2 sessions ended." in page
    assert "Signed in nowhere now." in page
    assert not any(map(is_in, phones))


def test_who_signs_out_or_whose_time_is_over_is_listed_no_more(keeper):
    here, left, _old = signed_in(), signed_in(agent=DESK), signed_in(agent=TABLET)
    left.post(reverse("program:sign_out"))
    tablet = SignedIn.objects.get(device="a tablet, Safari")
    long_ago = datetime.datetime(2026, 1, 1, tzinfo=datetime.UTC)
    Session.objects.filter(session_key=tablet.session_key).update(expire_date=long_ago)
    page = words(here.get(ACCOUNT))
    assert (page.count("last seen"), "Windows" in page, "tablet" in page) == (1, False, False)


def test_a_disk_that_is_full_stops_nobody_from_reading(keeper, monkeypatch):
    client = signed_in()
    sessions._seen.clear()

    def full(*_, **__):
        raise OperationalError("database or disk is full")

    monkeypatch.setattr(sessions, "write_down", full)
    assert is_in(client)


def test_cookies_of_a_session_are_for_this_program_alone(keeper):
    morsel = signed_in().cookies["rayward_session"]
    assert (morsel["httponly"], morsel["samesite"]) == (True, "Lax")


def test_the_cookie_of_before_the_sign_in_opens_nothing(keeper):
    """Nobody is given a session whose key somebody else already knows."""
    client = Client()
    session = client.session
    session["x"] = 1
    session.save()
    before = session.session_key
    client.post(reverse("program:sign_in"), {"username": "sam", "password": cast.PASSWORD})
    assert client.session.session_key != before
    assert not Session.objects.filter(session_key=before).exists()
