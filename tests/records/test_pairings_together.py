"""Pairings brought in together are what the page makes of one after the other."""

import datetime
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from breeding.animals.models import Animal, Measurement
from breeding.health.apart.services import keep_apart
from breeding.health.illness.treating import Prescribed, treat
from breeding.housing.models import Tank
from breeding.housing.stays.placing import place
from breeding.pairings.models import Outcome, Sighting, SignKind
from breeding.program.frame.memory import for_one_request
from breeding.records.incoming.kinds.kind import Keeping
from breeding.records.incoming.kinds.table import KINDS
from tests import cast
from tests.cast import day
from tests.records.test_all_together import NOW, TODAY, become_alike, maybe
from tests.tries import of_few_rows

pytestmark = pytest.mark.django_db

DAYS = [day("2026-02-20"), day("2026-03-01"), day("2026-05-10"), day("2026-06-01"), TODAY]


@pytest.fixture
def hall(owner) -> dict[str, Any]:
    """Females with the male of their tank, or alone, and males of other tanks; some of them kin,
    marked, kept apart, treated, too small, or with an end of their last season on record."""
    born_on = day("2020-03-01")
    hers = [
        cast.female(name, born_on=born_on) for name in ("Mira", "Vega", "Lyra", "Nunki", "Kaus")
    ]
    his = [cast.male(name, born_on=born_on) for name in ("Deneb", "Rigel", "Polis")]
    son = cast.male("Nashira", dam=hers[0], sire=his[0], born_on=day("2023-03-01"))
    small = cast.female("Alya", born_on=day("2025-12-01"))
    gone = cast.female("Spica", born_on=born_on, state="left", state_on=day("2026-05-20"))
    adhara = cast.female("Adhara", born_on=born_on)
    tanks = [Tank.objects.create(name=f"Tank {n}", volume_litres=900) for n in range(6)]
    apart = Tank.objects.create(name="Apart", volume_litres=900, kind="quarantine")
    placed = [(0, hers[0]), (0, his[0]), (1, hers[1]), (1, hers[2]), (2, his[1]), (2, small)]
    for at, one in [*placed, (3, son), (3, hers[4]), (4, gone), (5, adhara)]:
        place(one, tanks[at], on=day("2026-01-11"), by=owner)
    place(his[2], apart, on=day("2026-05-05"), by=owner)
    place(his[0], tanks[1], on=day("2026-03-20"), by=owner)
    place(hers[2], tanks[2], on=day("2026-05-30"), by=owner)
    keep_apart([hers[4]], since=day("2026-05-25"), today=TODAY, by=owner)
    treat(tanks[2], Prescribed("Salt", day("2026-05-30")), today=TODAY, by=owner)
    treat(hers[1], Prescribed("Salt", day("2026-06-01")), today=TODAY, by=owner)
    at = datetime.datetime(2026, 5, 8, 12, tzinfo=datetime.UTC)
    bite = SignKind.objects.get(key="fresh_bite_marks")
    Sighting.objects.create(female=hers[0], kind=bite, severity=3, seen_at=at)
    Measurement.objects.create(animal=his[1], on=day("2026-05-01"), disc_width_mm=600)
    Measurement.objects.create(animal=hers[1], on=day("2026-05-01"), disc_width_mm=300)
    Outcome.objects.create(female=hers[3], on=day("2026-05-04"), kind="live_birth")
    return {
        "owner": owner,
        "females": [*hers, small, gone, adhara],
        "males": [*his, son],
        "tanks": tanks,
    }


def rows_of(hall: dict[str, Any]) -> Any:
    return st.fixed_dictionaries(
        {
            "female": st.sampled_from(hall["females"]),
            "male": st.sampled_from(hall["males"]),
            "introduced_on": st.sampled_from(DAYS),
            "separated_on": maybe(None, day("2026-03-05"), day("2026-06-21")),
            "reason": maybe("to learn", " ", "x" * 401),
            "note": maybe(" thin "),
        }
    )


def compared(hall: dict[str, Any], rows: list[Any]) -> list[Any]:
    told = become_alike("pairings", rows, hall["owner"])
    return [[sentence for sentence, _ in doubts] for _, doubts, _ in told]


@given(data=st.data())
@of_few_rows(40)
def test_many_pairings_are_one_pairing_after_the_other(hall, data):
    compared(hall, data.draw(st.lists(rows_of(hall), min_size=1, max_size=9)))


def row(female: Animal, male: Animal, on: str, until: str | None = None, **facts: Any) -> Any:
    return {
        "female": female,
        "male": male,
        "introduced_on": day(on),
        "separated_on": day(until) if until else None,
        "reason": "to learn",
        "note": None,
        **facts,
    }


def test_near_birth_by_a_pairing_before_it_in_the_table(hall):
    adhara, (deneb, rigel, *_) = hall["females"][-1], hall["males"]
    rows = [
        row(adhara, deneb, "2026-02-20", "2026-05-09"),
        row(adhara, rigel, "2026-05-10"),
    ]
    assert compared(hall, rows[1:]) == [[]]
    near = (
        "Adhara is near birth, her window opens on 14 May 2026; Rigel would be with her in Tank 5."
    )
    assert compared(hall, rows) == [[], [near]]


def test_without_a_reason_that_is_asked_for_it_is_refused_and_counts_for_no_row_after_it(hall):
    adhara, rigel = hall["females"][-1], hall["males"][1]
    without = row(adhara, rigel, "2026-06-01", reason=None)
    keeping = Keeping(hall["owner"], cast.program_now(), NOW, TODAY, "here")
    [kept] = KINDS["pairings"].keep_all([without], keeping)
    held = (
        "Rigel has been under treatment with Salt since 30 May 2026 (the water of Tank 2). It is "
        "not to be bred."
    )
    assert (kept.record, kept.refusal) == (None, None)
    assert [one.sentence for one in kept.without_reason] == [held]
    assert compared(hall, [without, row(adhara, rigel, "2026-06-20")]) == [[held], [held]]


@pytest.mark.parametrize("are_held", [False, True])
def test_queries_do_not_grow_with_rows(hall, are_held):
    """Of pairs of many tanks that meet, each on a day of its own; the two may be held."""
    salt = Prescribed("Salt", day("2026-04-01"))
    if are_held:
        treat(hall["males"][1], salt, today=TODAY, by=hall["owner"])
    keeping = Keeping(hall["owner"], cast.program_now(), NOW, TODAY, "here")

    def queries(number: int) -> int:
        females = [cast.female(born_on=day("2020-03-01")) for _ in range(number)]
        for n, one in enumerate(females):
            tank = Tank.objects.create(name=f"Of {number}, {n}", volume_litres=900)
            place(one, tank, on=day("2026-02-01"), by=hall["owner"])
            if are_held:
                treat(one, salt, today=TODAY, by=hall["owner"])
        rows = [row(one, hall["males"][1], f"2026-05-{1 + n:02d}") for n, one in enumerate(females)]
        with for_one_request(), CaptureQueriesContext(connection) as found:
            kept = KINDS["pairings"].keep_all(rows, keeping)
        assert all(one.record for one in kept)
        return len(found)

    few, many = queries(4), queries(24)
    assert many <= few + 2
