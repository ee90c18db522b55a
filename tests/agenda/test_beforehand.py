"""The running server reckons the day before anybody opens it."""

import threading
import time
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from django.utils.translation import get_language

from benchmarks.started import forget_everything
from breeding.agenda import beforehand, queries
from breeding.agenda.queries import the_day
from breeding.program import clock
from breeding.program.models import Person, Program
from breeding.program.queries import the_program
from breeding.program.serving import background
from breeding.words.clock import hours_of_clock
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


@pytest.fixture
def minute(monkeypatch):
    """What a server does once a minute, of all its jobs this one."""
    job = background._jobs["reckon the day"]
    monkeypatch.setattr(background, "_jobs", {"reckon the day": job})
    monkeypatch.setattr(background, "close_old_connections", lambda: None)
    monkeypatch.setattr(background._turn, "is_mine", lambda: True)
    return background.run_jobs


@pytest.fixture
def ways(monkeypatch):
    """On which days, where, in which language and by which clock the day was asked for."""
    asked = []

    def noted(program, *, today, **how):
        where = timezone.get_current_timezone_name()
        asked.append((today, where, get_language(), hours_of_clock()))
        return the_day(program, today=today, **how)

    monkeypatch.setattr(beforehand, "the_day", noted)
    monkeypatch.setattr(queries, "the_day", noted)
    return asked


@pytest.mark.parametrize("own", [{}, {"language": "de"}, {"clock": "12"}])
def test_it_is_reckoned_where_the_program_is_and_as_its_people_read(
    as_owner, owner, minute, ways, own
):
    Program.objects.update(time_zone="Pacific/Auckland")
    Person.objects.filter(pk=owner.pk).update(**own)
    minute()
    as_owner.get("/")
    reckoned, read = ways
    assert reckoned == read
    assert read[1] == "Pacific/Auckland"


def test_a_browser_s_language_is_reckoned_from_when_somebody_has_read_in_it(
    as_owner, owner, minute, ways
):
    as_owner.get("/", headers={"Accept-Language": "de"})
    minute()
    (read, *reckoned) = ways
    assert read[2] == "de"
    assert read in reckoned


def test_each_process_reckons_for_itself(owner, minute, monkeypatch):
    days = []
    monkeypatch.setattr(beforehand, "reckon", lambda program, today: days.append(today))
    monkeypatch.setattr(background._turn, "is_mine", lambda: False)
    minute()
    assert days == [clock.today()]


def test_it_is_one_of_the_jobs_and_done_once_a_day_and_after_what_is_written(owner, monkeypatch):
    days = []
    monkeypatch.setattr(beforehand, "reckon", lambda program, today: days.append(today))
    job = background._jobs["reckon the day"]
    job(clock.now())
    job(clock.now())
    assert days == [clock.today()]
    tomorrow, moment = ago(-1), clock.now() + timedelta(days=1)
    job(moment)
    assert days[1:] == [tomorrow]
    cast.female("Mira")
    job(moment)
    job(moment)
    assert days[2:] == [tomorrow]


def test_after_an_animal_was_written_down_the_first_visit_asks_less(as_owner, owner):
    see(cast.female("Mira", pure="motoro", born_on=ago(1500)), 3)
    job = background._jobs["reckon the day"]
    _questions(as_owner)
    cast.female("Vega", pure="motoro", born_on=ago(1500))
    asked = _questions(as_owner)
    cast.female("Adhara", pure="motoro", born_on=ago(1500))
    job(clock.now())
    assert _questions(as_owner) < asked


def test_who_comes_while_the_day_is_reckoned_waits_and_does_not_reckon_it_again(
    as_owner, owner, monkeypatch
):
    is_waiting, turns = threading.Event(), []
    acquire = beforehand._reckoning.acquire

    def told(*args, **how):
        is_waiting.set()
        return acquire(*args, **how)

    class Told:
        acquire, release = staticmethod(told), beforehand._reckoning.release

    def visit():
        try:
            turns.append(as_owner.get("/").status_code)
        finally:
            connection.close()

    with beforehand.in_turn():
        monkeypatch.setattr(beforehand, "_reckoning", Told)
        visitor = threading.Thread(target=visit)
        visitor.start()
        assert is_waiting.wait(20)
        time.sleep(0.3)
        assert turns == []
    visitor.join(60)
    assert turns == [200]


def test_nobody_waits_for_ever(as_owner, owner, monkeypatch):
    monkeypatch.setattr(beforehand, "MOST_SECONDS", 0.05)
    with beforehand.in_turn():
        assert as_owner.get("/").status_code == 200


def test_before_the_program_is_set_up_nothing_is_reckoned(transactional_db, monkeypatch):
    days = []
    monkeypatch.setattr(beforehand, "reckon", lambda program, today: days.append(today))
    beforehand.keep_the_day_ready(clock.now())
    assert days == []


def _questions(client):
    with CaptureQueriesContext(connection) as asked:
        assert client.get("/").status_code == 200
    return len(asked)
