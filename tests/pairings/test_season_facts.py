"""What is gathered of seasons, row by row: what counts, and from which day to which."""

import datetime
from collections import OrderedDict

import pytest

from breeding.animals.models import Animal
from breeding.animals.services import add_measurement
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.pairings.models import Outcome, Pairing, Scan, Sighting, SignKind
from breeding.pairings.season import facts
from breeding.pairings.season import seen as season_seen
from breeding.pairings.season.facts import Ask, Past, Together, gather
from breeding.pairings.season.seen import SeenSign
from tests import cast

pytestmark = pytest.mark.django_db
WITHDRAWN = {
    "withdrawn_at": datetime.datetime(2026, 4, 1, tzinfo=datetime.UTC),
    "withdrawn_reason": "it was Vega",
}


@pytest.fixture(scope="module")
def mira(kept_for_the_file):
    return cast.female("Mira", pure="motoro")


@pytest.fixture(scope="module")
def deneb(kept_for_the_file):
    return cast.male("Deneb", pure="motoro")


def seen(female, day, key="copulation", **more):
    at = datetime.datetime.fromisoformat(f"2026-03-{day:02}T12:00:00+00:00")
    return Sighting.objects.create(
        female=female, kind=SignKind.objects.get(key=key), seen_at=at, **more
    )


def test_where_each_is_at_the_end_of_a_day(mira, deneb):
    pool, bay = (Tank.objects.create(name=name) for name in ("Pool", "Bay"))
    move_animal(mira, pool, on=cast.day("2026-03-01"), by=None)
    move_animal(mira, bay, on=cast.day("2026-03-10"), by=None)
    move_animal(deneb, pool, on=cast.day("2026-03-05"), by=None)

    def where(day):
        return {pk: stay.tank.name for pk, stay in facts.places_on(cast.day(day)).items()}

    assert where("2026-02-28") == {}
    assert where("2026-03-01") == where("2026-03-04") == {mira.pk: "Pool"}
    assert where("2026-03-09") == {mira.pk: "Pool", deneb.pk: "Pool"}
    assert where("2026-03-10") == {mira.pk: "Bay", deneb.pk: "Pool"}
    Animal.objects.filter(pk=mira.pk).update(state="died")
    assert where("2026-03-10") == {deneb.pk: "Pool"}


def test_females_that_are_here_or_on_loan_stand_by_name(mira, deneb):
    vega, adhara, izar = (cast.female(name) for name in ("Vega", "Adhara", "Izar"))
    Animal.objects.filter(pk=vega.pk).update(state="on_loan")
    Animal.objects.filter(pk=izar.pk).update(state="left")
    assert facts.females_here(cast.ago(0)) == [adhara, mira, vega]


def test_widths_are_read_of_those_whose_age_nobody_knows_by_day(mira, deneb):
    born = cast.male("Altair", born_on=cast.day("2020-01-01"))
    for animal in (deneb, born):
        add_measurement(animal, by=None, on=cast.day("2026-03-02"), disc_width_mm=300)
        add_measurement(animal, by=None, on=cast.day("2026-03-01"), disc_width_mm=290)
        add_measurement(animal, by=None, on=cast.day("2026-03-03"), weight_g=900)
        add_measurement(animal, by=None, on=None, disc_width_mm=310)
    assert facts.widths_of([deneb, born]) == {
        deneb.pk: [(cast.day("2026-03-01"), 290), (cast.day("2026-03-02"), 300)]
    }
    assert facts.widths_of([born]) == {}


def test_kinds_of_signs_are_known_by_their_keys(mira, monkeypatch):
    monkeypatch.setattr(season_seen, "_kinds", OrderedDict())
    found = season_seen.kinds_by_key()
    assert found["copulation"].label == SignKind.objects.get(key="copulation").label
    assert len(found) == SignKind.objects.count()


def test_what_was_seen_and_how_seasons_ended_stands_by_day_without_what_was_withdrawn(mira):
    later, first = seen(mira, 9), seen(mira, 2, "fresh_bite_marks")
    seen(mira, 5, **WITHDRAWN)
    Outcome.objects.create(female=mira, on=cast.day("2026-03-20"), kind="unknown")
    Outcome.objects.create(female=mira, on=cast.day("2026-03-10"), kind="resorbed")
    Outcome.objects.create(female=mira, on=cast.day("2026-03-15"), kind="resorbed", **WITHDRAWN)
    past = facts.gather_past()
    assert [one.on for one in past.outcomes[mira.pk]] == [
        *(cast.day("2026-03-10"), cast.day("2026-03-20"))
    ]
    kinds = {one.key: one.shares is not None for one in SignKind.objects.all()}
    assert past.signs[mira.pk] == [
        SeenSign(cast.day("2026-03-02"), first.kind.key, kinds["fresh_bite_marks"], first.pk),
        SeenSign(cast.day("2026-03-09"), "copulation", kinds["copulation"], later.pk),
    ]


def test_of_the_season_asked_for_whole_rows_are_read(mira, deneb):
    before, now = seen(mira, 2), seen(mira, 12, male=deneb)
    Outcome.objects.create(female=mira, on=cast.day("2026-03-10"), kind="resorbed")
    for day, more in ((20, {}), (15, {}), (16, WITHDRAWN)):
        Scan.objects.create(female=mira, on=cast.day(f"2026-03-{day}"), positive=True, **more)
    ask = Ask(mira, cast.day("2026-03-30"))
    found = gather([ask])
    assert found.sightings_of(ask) == [now]
    assert before.pk not in found.sightings
    assert [one.on.day for one in found.scans[mira.pk]] == [15, 20]
    assert found.figures_of(mira.pk).key == "motoro"
    assert gather().sightings == {}


def test_pairings_and_shared_water_are_read_by_female_with_every_male(mira, deneb):
    altair, vega = cast.male("Altair"), cast.female("Vega")
    pool = Tank.objects.create(name="Pool")
    for animal in (mira, altair):
        move_animal(animal, pool, on=cast.day("2026-03-01"), by=None)
    paired = Pairing.objects.create(female=mira, male=deneb, introduced_on=cast.day("2026-03-05"))
    Pairing.objects.create(
        female=mira, male=altair, introduced_on=cast.day("2026-03-05"), **WITHDRAWN
    )
    found = facts.gather_together([mira, vega])
    assert found.females == {mira.pk, vega.pk}
    assert found.pairings == {mira.pk: [paired]}
    assert [(one.one, one.other) for one in found.shared[mira.pk]] == [(mira.pk, altair.pk)]
    assert found.animals == {mira.pk: mira, deneb.pk: deneb, altair.pk: altair}
    assert set(found.figures) == {mira.pk, altair.pk}
    by_key = facts.gather_together([], others=[mira.pk])
    assert by_key.animals[mira.pk] == mira


def test_what_was_read_of_further_females_is_added():
    one = Together(frozenset({1}), {1: []}, {1: []}, {1: Animal(pk=1)}, {1: []}, {})
    other = Together(frozenset({2}), {2: []}, {}, {2: Animal(pk=2)}, {}, {})
    both = one.with_more(other)
    assert both.females == {1, 2}
    assert [set(part) for part in (both.pairings, both.shared, both.animals, both.widths)] == [
        *({1, 2}, {1}, {1, 2}, {1})
    ]


def test_of_nobody_nothing_was_seen():
    assert Past({}, {}).seen_in(Ask(Animal(pk=1), cast.day("2026-03-30"))) == []
