"""What a source of its own tells is told once; what was changed in it is told as a correction."""

import pytest
from auditlog.models import LogEntry
from django.urls import reverse
from django.utils import timezone

from breeding.animals.models import AssumedKin
from breeding.animals.services import change_state
from breeding.arrivals.services import write_how_it_came
from breeding.feeding.services import feed, food_named
from breeding.health.dying.services import ToldDeath as ToldOfDeath
from breeding.health.dying.services import tell_death
from breeding.health.illness.observing import observe
from breeding.health.illness.treating import Prescribed, treat
from breeding.program import clock
from breeding.records.apps import RecordsConfig
from breeding.records.chronicle.sources import SOURCES
from breeding.records.chronicle.sources.history import ROOMS, TOLD
from tests import cast
from tests.lists import plain
from tests.traits.cases import look, recessive

pytestmark = pytest.mark.django_db
CHRONICLE = reverse("records:chronicle")


def a_round(mira):
    now = timezone.now()
    food = food_named("Smelt", by=None)
    return feed({mira: "all"}, food=food, fed_at=now, now=now, by=None)


def an_observation(mira):
    return observe(mira, "breathing", since=cast.ago(9), today=clock.today(), by=None)


def a_treatment(mira):
    given = Prescribed("Willow drops", cast.ago(9), prescribed_by="Dr. Alder")
    return treat(mira, given, today=clock.today(), by=None)


def a_look(mira):
    return look(recessive(), mira, "not", on=cast.ago(9))


def an_arrival(mira):
    today = clock.today()
    return write_how_it_came(mira, by=None, today=today, contact=None, on=cast.ago(90))


DAILY = [a_round, an_observation, a_treatment, a_look, an_arrival]
FOR_VIEWERS = [a_round, an_observation, a_treatment, a_look]


@pytest.fixture
def mira(owner):
    return cast.female("Mira", born_on=cast.day("2022-05-03"))


def entries(client, kind):
    answer = client.get(CHRONICLE, {"kind": kind})
    assert answer.status_code == 200
    return [
        (plain(f"{one.told.lead}{one.told.rest}"), one.told.changes)
        for one in answer.context["told"].entries
    ]


def corrected(record, note):
    record.note = note
    record.save()


@pytest.mark.one_database("a list beside another")
def test_the_history_knows_whatever_a_source_of_its_own_tells():
    kept = {
        one.model
        for one in SOURCES
        if one.model is not LogEntry and one.model._meta.app_label in RecordsConfig.KEPT
    }
    assert kept == set(TOLD)
    assert all(one in SOURCES for room in ROOMS for one in room.SOURCES)


@pytest.mark.parametrize("written", DAILY)
def test_what_is_told_is_no_further_record_as_well(as_keeper, mira, written):
    record = written(mira)
    label = str(record._meta.verbose_name)
    assert [words for words, _ in entries(as_keeper, "further") if label in words] == []
    corrected(record, "as Jo says")
    assert [words for words, _ in entries(as_keeper, "further") if label in words] == []


@pytest.mark.parametrize("written", FOR_VIEWERS)
def test_whoever_reads_it_reads_what_was_corrected_in_it(as_viewer, mira, written):
    record = written(mira)
    assert entries(as_viewer, "corrected") == []
    corrected(record, "as Jo says")
    ((words, changes),) = entries(as_viewer, "corrected")
    assert words.startswith("corrected: ")
    assert changes == ["note: from nothing to as Jo says"]


def test_how_an_arrival_was_before_is_for_keepers(as_viewer, as_keeper, mira):
    corrected(an_arrival(mira), "as Jo says")
    assert entries(as_viewer, "corrected") == []
    ((_, changes),) = entries(as_keeper, "corrected")
    assert changes == ["note: from nothing to as Jo says"]


def test_what_a_laboratory_finds_later_corrects_nothing(as_viewer, mira):
    change_state(mira, state="died", on=cast.ago(5))
    dead = tell_death(mira, ToldOfDeath(), today=clock.today(), by=None)
    dead.findings = "worms in the spiral valve"
    dead.save()
    assert entries(as_viewer, "corrected") == []
    dead.findings = "flukes in the spiral valve"
    dead.save()
    ((_, changes),) = entries(as_viewer, "corrected")
    assert changes == [
        "findings: from worms in the spiral valve to flukes in the spiral valve",
    ]


def test_kin_that_are_assumed_are_told_once(as_keeper, mira):
    vega = cast.female("Vega")
    held = AssumedKin.objects.create(one=mira, other=vega, degree="unknown")
    assert len(entries(as_keeper, "further")) == 1
    corrected(held, "as Jo says")
    assert len(entries(as_keeper, "further")) == 1
    ((_, changes),) = entries(as_keeper, "corrected")
    assert changes == ["note: from nothing to as Jo says"]
