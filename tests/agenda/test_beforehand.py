"""The running server reckons the day before anybody opens it."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from benchmarks.started import forget_everything
from breeding.agenda import beforehand
from breeding.program import clock
from breeding.program.queries import the_program
from breeding.program.serving import background
from tests import cast
from tests.cast import ago, see

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _just_started(transactional_db, monkeypatch):
    forget_everything()
    monkeypatch.setattr(beforehand, "_reckoned", {})
    yield
    forget_everything()


def test_the_first_visit_asks_less_once_the_day_was_reckoned(as_owner, owner):
    see(cast.female("Mira", pure="motoro", born_on=ago(1500)), 3)
    asked = _questions(as_owner)
    forget_everything()
    beforehand.reckon(the_program(), clock.today())
    assert _questions(as_owner) < asked


def test_it_is_one_of_the_jobs_and_done_once_a_day(owner, monkeypatch):
    days = []
    monkeypatch.setattr(beforehand, "reckon", lambda program, today: days.append(today))
    job = background._jobs["reckon the day"]
    job(clock.now())
    job(clock.now())
    assert days == [clock.today()]
    tomorrow = ago(-1)
    monkeypatch.setattr(clock, "today", lambda: tomorrow)
    job(clock.now())
    assert days[1:] == [tomorrow]


def test_before_the_program_is_set_up_nothing_is_reckoned(transactional_db, monkeypatch):
    days = []
    monkeypatch.setattr(beforehand, "reckon", lambda program, today: days.append(today))
    beforehand.reckon_a_new_day(clock.now())
    assert days == []


def _questions(client):
    with CaptureQueriesContext(connection) as asked:
        assert client.get("/").status_code == 200
    return len(asked)
