"""Wrong passwords: free tries, then longer and longer waits, by name and address."""

import datetime
import logging

import pytest
import time_machine
from axes.models import AccessAttempt
from django.test import Client
from django.urls import reverse

from breeding.program.access.slowing import address_of
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db

SIGN_IN = reverse("program:sign_in")
NOON = datetime.datetime(2026, 3, 3, 12, tzinfo=datetime.UTC)


def tries(username="sam", password="a-guess", address="192.0.2.1", **more):
    sent = {"username": username, "password": password}
    return Client().post(SIGN_IN, sent, REMOTE_ADDR=address, **more)


def statuses(number: int, **more) -> list[int]:
    return [tries(**more).status_code for _ in range(number)]


@pytest.fixture
def at_noon():
    with time_machine.travel(NOON, tick=False) as clock:
        yield clock


def test_the_fifth_wrong_password_begins_a_wait_that_doubles(keeper, at_noon):
    assert statuses(4) == [200] * 4
    answer = tries()
    assert (answer.status_code, answer.headers["Retry-After"]) == (429, "31")
    said = words(answer)
    assert "Too many wrong passwords for this name: wait 31 sec" in said
    assert 'value="sam"' in said
    assert "a-guess" not in said
    for waited, wait in ((31, "61"), (61, "121"), (121, "241")):
        assert tries(password=cast.PASSWORD).status_code == 429  # not looked at
        at_noon.shift(datetime.timedelta(seconds=waited))
        assert tries().headers["Retry-After"] == wait


def test_what_is_not_looked_at_lengthens_no_wait(keeper, at_noon):
    statuses(5)
    statuses(50)
    at_noon.shift(datetime.timedelta(seconds=31))
    assert tries(password=cast.PASSWORD).status_code == 302


def test_no_wait_is_longer_than_a_quarter_of_an_hour(keeper, at_noon):
    for _ in range(20):
        answer = tries()
        at_noon.shift(datetime.timedelta(minutes=16))
    assert answer.headers["Retry-After"] == "901"
    assert "15 minutes" in words(answer)
    assert tries(password=cast.PASSWORD).status_code == 302


def test_a_name_that_nobody_has_is_answered_alike(keeper):
    for known, unknown in zip(
        (tries() for _ in range(6)), (tries(username="nobody") for _ in range(6)), strict=True
    ):
        assert known.status_code == unknown.status_code
        assert len(words(known)) == len(words(unknown).replace("nobody", "sam"))


def test_a_stranger_at_another_address_shuts_nobody_out(keeper):
    assert statuses(9, address="198.51.100.7")[-1] == 429
    assert tries(password=cast.PASSWORD).status_code == 302


def test_strangers_at_many_addresses_hold_a_name_up_for_a_minute_at_most(keeper, at_noon):
    for number in range(60):
        last = tries(address=f"198.51.100.{number}")
        at_noon.shift(datetime.timedelta(seconds=1))
    assert last.status_code == 429
    held_up = tries(password=cast.PASSWORD)
    assert held_up.status_code == 429
    assert int(held_up.headers["Retry-After"]) <= 61
    at_noon.shift(datetime.timedelta(seconds=61))
    assert tries(password=cast.PASSWORD).status_code == 302


def test_the_case_of_a_name_gives_no_further_tries(keeper):
    assert statuses(4) == [200] * 4
    assert tries(username="SAM").status_code == 429


def test_signing_in_begins_anew(keeper):
    statuses(4)
    assert tries(password=cast.PASSWORD).status_code == 302
    assert statuses(4) == [200] * 4


def test_wrong_passwords_of_this_morning_are_forgotten(keeper, at_noon):
    statuses(4)
    at_noon.shift(datetime.timedelta(hours=7))
    assert tries().status_code == 200
    assert AccessAttempt.objects.get().failures_since_start == 1


def test_what_is_kept_of_a_try_names_nobody_and_holds_no_password(keeper):
    """Somebody typed the password into the field for the name."""
    for _ in range(2):
        tries(username="my-secret-word", password="hush-hush", HTTP_USER_AGENT="Firefox of Ada")
    (kept,) = AccessAttempt.objects.all()
    text = str(vars(kept))
    for word in ("my-secret-word", "hush-hush", "Ada", "csrf"):
        assert word not in text
    assert kept.failures_since_start == 2


def test_lines_of_the_log_name_nobody(keeper, caplog):
    with caplog.at_level(logging.DEBUG), caplog.at_level(logging.DEBUG, logger="axes"):
        statuses(6)
        tries(password=cast.PASSWORD, address="203.0.113.9")
    assert "AXES" in caplog.text
    for word in ("sam", "192.0.2.1", "203.0.113.9", "a-guess", cast.PASSWORD):
        assert word not in caplog.text.replace("same", "")


def test_a_forged_header_is_no_other_address(keeper):
    """Which proxy is believed is the server's to decide, before a request comes here."""
    found = [tries(HTTP_X_FORWARDED_FOR=f"198.51.100.{n}").status_code for n in range(5)]
    assert found == [200, 200, 200, 200, 429]


@pytest.mark.parametrize(
    ("remote", "address"),
    [
        ("192.0.2.1", "192.0.2.1"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::"),
        ("2001:db8:1:2:ffff::9", "2001:db8:1:2::"),
        ("", None),
        ("localhost", None),
    ],
)
def test_an_address_is_one_household(rf, remote, address):
    assert address_of(rf.get("/", REMOTE_ADDR=remote)) == address
