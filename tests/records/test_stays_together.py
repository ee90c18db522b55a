"""Stays brought in together are asked about as each is by an act of its own."""

import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from breeding.animals.away.lent import Loan
from breeding.animals.models import Animal, Measurement
from breeding.health.apart.services import keep_apart
from breeding.health.models import Observation, Quarantine, Treatment
from breeding.housing.models import Tank, WaterSystem
from breeding.housing.stays.placing import place
from breeding.pairings.models import Outcome, Pairing, Rest, Scan, SignKind
from breeding.pairings.services import log_sighting
from breeding.program.frame.memory import for_one_request
from breeding.program.problems.doubts import Doubt
from breeding.program.services import withdraw
from breeding.records.incoming.kinds.kind import Keeping
from breeding.records.incoming.kinds.table import KINDS
from tests import cast
from tests.cast import day
from tests.records.one_row import ONE_ROW, one_by_one
from tests.records.test_all_together import NOW, TODAY, become, maybe
from tests.tries import of_few_rows

pytestmark = pytest.mark.django_db

BIRTH = day("2025-08-01")  # the newest one: what it teaches, no row changes
DAYS = [BIRTH + datetime.timedelta(days=n) for n in (5, 60, 61, 110, 150, 155, 160, 200, 240, 300)]
CLOSE = [DAYS[4] + datetime.timedelta(days=n) for n in (0, 3, 5, 9, 16, 22, 29, 31, 40, 52)]
STAYS = datetime.timedelta(days=3)
VEGA = "her window opens on 13 November 2025"
LASTS = [datetime.timedelta(days=n) for n in (0, 1, 5, 40, 95, 320)]


@pytest.fixture
def keeping(owner):
    return Keeping(owner, cast.program_now(), NOW, TODAY, "here")


@pytest.fixture
def pond(owner) -> dict[str, Any]:
    """Kin, one that gave birth, one with marks, one seen mating, pups, some gone, lent or apart."""
    old = {"born_on": day("2019-01-01"), "born_precision": "day"}
    dam, sire = cast.female("Adhara", **old), cast.male("Deneb", **old)
    son = cast.male("Nashira", dam=dam, sire=sire, born_on=day("2022-05-01"))
    daughter = cast.female("Biham", dam=dam, sire=sire, born_on=day("2022-05-01"))
    growing = cast.male("Homam", dam=dam, born_on=day("2025-09-20"))
    pup = cast.ray("Kitalpha", "F", dam=daughter, sire=son, born_on=DAYS[5])
    marked, mated = cast.female("Mira", **old), cast.female("Vega", **old)
    stranger = cast.male("Castor")
    gone = cast.male("Rigel", state="left", state_on=DAYS[6], **old)
    lent, apart = cast.female("Lyra", **old), cast.male("Pollux", **old)
    Outcome.objects.create(female=dam, on=day("2025-01-10"), kind="live_birth")
    birth = Outcome.objects.create(female=dam, on=BIRTH, kind="live_birth")
    Rest.objects.create(outcome=birth, until=DAYS[2])
    Pairing.objects.create(female=mated, male=sire, introduced_on=DAYS[0], separated_on=DAYS[1])
    Pairing.objects.create(female=daughter, male=son, introduced_on=DAYS[4])
    Scan.objects.create(female=mated, on=DAYS[3], positive=True)
    Loan.objects.create(animal=lent, since=DAYS[1], until=DAYS[3])
    signs = {one.key: one for one in SignKind.objects.all()}
    for who, kind, n, facts in (
        (marked, "fresh_bite_marks", 1, {"severity": 3}),
        (marked, "copulation", 1, {"male": sire}),
        (mated, "copulation", 2, {"male": stranger}),
        (lent, "fresh_bite_marks", 4, {"severity": 0}),
        (lent, "copulation", 4, {}),
    ):
        at = datetime.datetime.combine(DAYS[n], datetime.time(9), datetime.UTC)
        log_sighting(female=who, kind=signs[kind], seen_at=at, now=NOW, by=owner, **facts)
    keep_apart([apart], since=DAYS[4], today=TODAY, by=owner)
    tanks = [
        Tank.objects.create(name=f"Tank {n}", can_divide=True, volume_litres=Decimal(900))
        for n in (1, 2)
    ]
    tanks.append(Tank.objects.create(name="Apart", kind=Tank.Kind.QUARANTINE))
    for one, tank, on, side in (
        (dam, 0, day("2019-01-01"), ""),
        (sire, 0, day("2024-09-20"), ""),
        (sire, 1, day("2024-10-20"), "left"),
        (marked, 1, day("2024-01-01"), "right"),
        (mated, 1, DAYS[3], "left"),
        (gone, 0, DAYS[2], ""),
        (pup, 1, DAYS[5], ""),
        (stranger, 2, DAYS[5], ""),
        (stranger, 0, DAYS[6], ""),
    ):
        place(one, tanks[tank], on=on, by=owner, side=side)
    never = place(daughter, tanks[0], on=DAYS[7], by=owner)
    assert never is not None
    withdraw(never, by=owner, now=NOW, reason="never there")
    every = list(Animal.every.order_by("pk"))
    return {"owner": owner, "animals": every, "tanks": tanks, "growing": growing}


def row(animal: Animal, tank: Tank, since: datetime.date, until: Any, **facts: Any) -> Any:
    given = {"animal": animal, "tank": tank, "since": since, "until": until}
    return {"side": None, "reason": None, **given, **facts}


def compared(rows: list[Any], keeping: Keeping) -> Any:
    """What becomes of them, asked and answered: the same together and one after the other."""
    rows = sorted(rows, key=KINDS["stays"].in_order)
    alone = become("stays", rows, one_by_one(ONE_ROW["stays"]), keeping)
    assert become("stays", rows, KINDS["stays"].keep_all, keeping) == alone
    asked = [Doubt(sentence) for _, doubts, _ in alone[0] for sentence, _ in doubts]
    sure = Keeping(
        keeping.by, keeping.program, NOW, TODAY, "here", frozenset(one.mark for one in asked)
    )
    told, *_ = become("stays", rows, KINDS["stays"].keep_all, sure)
    assert told == [(is_kept, [], refused) for is_kept, _, refused in alone[0]]
    return alone


@given(data=st.data())
@of_few_rows(10)
def test_company_of_many_rows_is_asked_about_as_of_one_row_after_the_other(pond, keeping, data):
    facts = st.builds(
        lambda since, lasts, **facts: {"since": since, "until": since + lasts, **facts},
        since=st.sampled_from(DAYS),
        lasts=st.sampled_from(LASTS),
        animal=st.sampled_from(pond["animals"]),
        tank=st.sampled_from([*pond["tanks"][:2], *pond["tanks"]]),
        side=st.sampled_from([None] * 9 + ["left"]),
        reason=maybe("to learn"),
    )
    moves = st.builds(lambda one: {**one, "until": None}, facts)
    rows = data.draw(st.lists(st.one_of(facts, facts, facts, moves), min_size=2, max_size=9))
    compared(rows, keeping)


def named(pond: dict[str, Any], name: str) -> Animal:
    return next(one for one in pond["animals"] if one.call_name == name)


def test_each_is_asked_about_whom_it_meets_by_the_rows_before_it(pond, keeping):
    """He comes to his sister, then to one seen mating, then to the newborn pup of both."""
    son, bay = named(pond, "Nashira"), Tank.objects.create(name="Bay")
    beside = day("2025-10-05")
    rows = [
        row(named(pond, "Biham"), bay, beside, day("2025-10-12")),
        row(son, bay, day("2025-10-06"), day("2025-10-08")),
        row(named(pond, "Vega"), bay, day("2025-10-09"), day("2025-11-15")),
        row(son, bay, day("2025-11-10"), day("2025-11-12")),
        row(son, pond["tanks"][1], DAYS[5], DAYS[6]),
    ]
    told, *_ = compared(rows, keeping)
    said = [[sentence for sentence, _ in doubts] for _, doubts, _ in told]
    assert said[0] == said[2] == []
    assert said[1] == []  # by then nobody has put the two together; they are paired by now
    assert said[3] == [f"Vega is near birth, {VEGA}; Nashira would be with her in Bay."]
    assert "Nashira joins 1 newborn pup in Tank 2" in said[4][0]


def test_why_with_its_kin_is_read_in_its_column(pond, keeping):
    father, daughter = named(pond, "Deneb"), named(pond, "Biham")
    bay = Tank.objects.create(name="Bay")
    rows = [
        row(daughter, bay, DAYS[4], DAYS[6]),
        row(father, bay, DAYS[5], DAYS[6]),
        row(father, bay, DAYS[6], DAYS[7], reason="to learn"),
    ]
    told, *_ = compared(rows, keeping)
    assert [is_kept for is_kept, *_ in told] == [True, False, True]
    rows[1]["reason"] = "to learn"
    told, [written], *_ = compared(rows[:2], keeping)
    assert told[1][0]
    assert "Deneb and his daughter Biham could breed" in told[1][1][0][0]
    assert [one["reason"] for one in written if one["tank_id"] == bay.pk] == ["", "to learn"]


@pytest.fixture
def ward(pond, owner) -> dict[str, Any]:
    """Two tanks for quarantine that share their water with one beside them; who is in them, who
    fell ill, what was treated, who died, and whose quarantine was ended."""
    system = WaterSystem.objects.create(name="Ward")
    tanks = [
        Tank.objects.create(name="Beside", system=system, can_divide=True),
        Tank.objects.create(name="Ward 1", system=system, kind=Tank.Kind.QUARANTINE),
        Tank.objects.create(name="Ward 2", kind=Tank.Kind.QUARANTINE, can_divide=True),
    ]
    old = {"born_on": day("2019-01-01"), "born_precision": "day"}
    there = [cast.female("Alya", **old), cast.male("Zaurak", **old), cast.female("Meissa", **old)]
    dead = cast.male("Saiph", state="died", state_on=CLOSE[4], **old)
    for one, tank, n in ((there[0], 1, 0), (there[1], 2, 1), (dead, 1, 2), (there[2], 0, 0)):
        place(one, tanks[tank], on=CLOSE[n], by=owner)
    Quarantine.objects.create(animal=there[1], ended_on=CLOSE[3], result="clear")
    Quarantine.objects.create(animal=there[2], since=CLOSE[2], least_days=45)
    Observation.objects.create(animal=there[0], kind="breathing", since=CLOSE[5])
    Treatment.objects.create(tank=tanks[0], remedy="Salt", since=CLOSE[6], against="flukes")
    Treatment.objects.create(
        animal=there[1], remedy="Salt", since=CLOSE[3], until=CLOSE[4], against="worms"
    )
    names = ("Vega", "Nashira", "Biham", "Pollux")
    return {
        "animals": [*there, *(named(pond, name) for name in names)],
        "tanks": [*tanks, pond["tanks"][0]],
    }


@given(data=st.data())
@of_few_rows(25)
def test_quarantine_is_asked_about_as_of_one_row_after_the_other(ward, keeping, data):
    facts = st.builds(
        lambda since, lasts, **facts: {
            **{"since": since, "until": None if lasts is None else since + lasts, "reason": None},
            **facts,
        },
        since=st.sampled_from(CLOSE),
        lasts=st.sampled_from([None, *LASTS[:4]]),
        animal=st.sampled_from(ward["animals"]),
        tank=st.sampled_from(ward["tanks"]),
        side=st.sampled_from([None, None, None, "left", "right"]),
    )
    compared(data.draw(st.lists(facts, min_size=3, max_size=9)), keeping)


@pytest.fixture
def treated(ward) -> Any:
    """Writes down treatments, when it was told that they were written down; of one's own, with a
    hold or without; of waters, of which one is shared, so that one may have been in several."""
    tanks, (first, second, *_) = ward["tanks"], ward["animals"]

    def write(*written: datetime.datetime) -> None:
        for at, facts in zip(
            written,
            (
                {"animal": first, "since": CLOSE[2], "until": CLOSE[4], "hold_until": CLOSE[6]},
                {"animal": first, "since": CLOSE[1]},
                {"animal": second, "since": CLOSE[5], "until": CLOSE[5]},
                {"tank": tanks[2], "since": CLOSE[1], "until": CLOSE[3], "hold_until": CLOSE[5]},
                {"tank": tanks[1], "since": CLOSE[3], "until": CLOSE[4]},
                {"tank": tanks[3], "since": CLOSE[1], "hold_until": CLOSE[9]},
                {"tank": tanks[2], "since": CLOSE[3], "hold_until": CLOSE[9], "remedy": "Copper"},
            ),
            strict=False,
        ):
            one = Treatment.objects.create(**{"remedy": "Salt", **facts})
            Treatment.objects.filter(pk=one.pk).update(recorded_at=at)

    return write


@given(data=st.data())
@of_few_rows(40)
def test_treatment_is_asked_about_as_of_one_row_after_the_other(ward, treated, keeping, data):
    """Also of whoever was in two treated waters, or left one on the day on which the remedy came:
    written down before all stays, after those on record and after all."""
    now = timezone.now()
    moments = [now - datetime.timedelta(days=400), now]
    treated(*data.draw(st.lists(st.sampled_from(moments), min_size=7, max_size=7)))
    facts = st.builds(
        lambda since, lasts, **facts: {
            **{"since": since, "until": None if lasts is None else since + lasts, "side": None},
            **facts,
        },
        since=st.sampled_from(CLOSE),
        lasts=st.sampled_from([None, None, None, *LASTS[:2]]),
        animal=st.sampled_from(ward["animals"][:4]),
        tank=st.sampled_from(ward["tanks"]),
        reason=st.sampled_from([None, "the vet said so"]),
    )
    rows = data.draw(st.lists(facts, min_size=3, max_size=9))
    try:
        compared(rows, keeping)
    finally:
        Treatment.objects.filter(remedy__in=["Salt", "Copper"], against="").delete()


def held_of(told: list[Any]) -> list[list[str]]:
    """What is asked of each for what holds it."""
    held = "It is not to be moved."
    return [[one for one, _ in doubts if one.endswith(held)] for _, doubts, _ in told]


def test_who_was_in_two_treated_waters_is_held_by_both_the_last_first(ward, treated, keeping):
    nashira, (_, _, second, third) = ward["animals"][4], ward["tanks"]
    treated(*[timezone.now()] * 7)
    rows = [
        row(nashira, second, CLOSE[4], None, reason="to see"),
        row(nashira, third, CLOSE[5], None, reason="to see"),
        row(nashira, Tank.objects.create(name="Bay"), CLOSE[6], None, reason="to see"),
    ]
    told, *_ = compared(rows, keeping)
    copper = (
        "Nashira has been under treatment with Copper since 7 January 2026 (the water of Ward 2), "
        "and is held until 19 February 2026. It is not to be moved."
    )
    salt = (
        "Nashira has been under treatment with Salt since 1 January 2026 (the water of Tank 1), "
        "and is held until 19 February 2026. It is not to be moved."
    )
    assert held_of(told) == [[], [copper], [salt, copper]]


def test_of_two_waters_from_the_same_day_on_the_one_written_last_comes_first(
    ward, treated, keeping
):
    """Zaurak was in Ward 2 before a day in Tank 1, and is there again from the evening on."""
    zaurak, (_, first, _, third) = ward["animals"][1], ward["tanks"]
    treated(*[timezone.now()] * 7)
    rows = [
        row(zaurak, third, CLOSE[3], CLOSE[3]),
        row(zaurak, first, CLOSE[9], None, reason="to see"),
    ]
    told, *_ = compared(rows, keeping)
    assert [[one.partition("the water of ")[2][:6] for one in some] for some in held_of(told)] == [
        [],
        ["Tank 1", "Ward 2"],
    ]


def test_who_left_on_the_day_of_the_remedy_is_held_where_it_was_told_later(ward, treated, keeping):
    """Biham was written down in Bay before the treatment was, Vega comes there by the table."""
    (vega, _, biham, _), third = ward["animals"][3:], ward["tanks"][3]
    bay, next_one = (Tank.objects.create(name=name) for name in ("Bay", "Next"))
    place(biham, bay, on=CLOSE[1], by=None)
    treated(*[timezone.now()] * 7)
    rows = [
        row(biham, third, CLOSE[0], CLOSE[1]),
        row(vega, third, CLOSE[0], None),
        row(vega, bay, CLOSE[1], None, reason="to see"),
        row(biham, next_one, CLOSE[5], None),
        row(vega, next_one, CLOSE[5], None, reason="to see"),
    ]
    told, *_ = compared(rows, keeping)
    assert [[one.split()[0] for one in some] for some in held_of(told)] == [
        *([], [], ["Vega"]),
        *([], ["Vega"]),
    ]


def test_one_in_quarantine_by_the_rows_before_is_asked_about(ward, keeping):
    """She comes to it a week after him, in another tank of the same water: for both it begins
    anew, as who meets them with 30 days to go is told."""
    (beside, first, *_), bay = ward["tanks"], Tank.objects.create(name="Bay")
    on, week = day("2026-03-01"), datetime.timedelta(days=7)
    vega, nashira, biham = (
        next(one for one in ward["animals"] if one.call_name == name)
        for name in ("Vega", "Nashira", "Biham")
    )
    rows = [
        row(nashira, first, on, on + 3 * week),
        row(vega, beside, on + week, on + 2 * week),
        row(biham, bay, on + 3 * week, on + 4 * week),
        row(nashira, bay, on + 3 * week, on + 4 * week),
    ]
    told, *_ = compared(rows, keeping)
    assert (
        "Nashira is in quarantine until 7 April 2026, 30 days from 8 March 2026, when Vega was "
        "added, and would be with Biham in Bay."
    ) in [sentence for sentence, _ in told[-1][1]]


def test_who_is_in_the_same_water_counts_where_nobody_was_in_the_tank_before(pond, keeping):
    """Somebody is added in another tank of the water in which she spends her quarantine."""
    ring = WaterSystem.objects.create(name="Ring")
    empty = Tank.objects.create(name="Empty", system=ring, kind=Tank.Kind.QUARANTINE)
    other, bay = Tank.objects.create(name="Other", system=ring), Tank.objects.create(name="Bay")
    first, on, middle, last, end = (day(f"2026-01-{n:02}") for n in (1, 5, 8, 15, 20))
    place(cast.female("Sadr", born_on=day("2019-01-01")), other, on=middle, by=None)
    vega, nashira, mira = (named(pond, name) for name in ("Vega", "Nashira", "Mira"))
    rows = [
        row(vega, bay, first, end),
        row(nashira, bay, first, end),  # here it is asked for the first time
        row(mira, empty, on, last),
        row(mira, bay, last, end),
    ]
    told, *_ = compared(rows, keeping)
    assert (
        "Mira is in quarantine until 7 February 2026, 30 days from 8 January 2026, when Sadr was "
        "added, and would be with Nashira and Vega in Bay."
    ) in [sentence for sentence, _ in told[-1][1]]


def test_a_move_is_asked_about_treatments_and_room_beside_the_rows_before_it(pond, keeping):
    now = timezone.localdate()
    small = Tank.objects.create(name="Small", length_mm=500, width_mm=400)
    bay, salted = (Tank.objects.create(name=name, can_divide=True) for name in ("Bay", "Salted"))
    mira, vega, nashira = (named(pond, name) for name in ("Mira", "Vega", "Nashira"))
    Treatment.objects.create(animal=mira, remedy="Salt", since=DAYS[5], until=DAYS[6])
    Treatment.objects.create(tank=salted, remedy="Salt", since=DAYS[7], hold_until=DAYS[9])
    Measurement.objects.create(animal=named(pond, "Pollux"), on=DAYS[0], disc_width_mm=300)
    rows = [
        row(mira, bay, DAYS[4], None),
        row(mira, pond["tanks"][2], DAYS[5], None),  # under treatment
        row(mira, bay, DAYS[9], None, side="left"),
        row(vega, bay, DAYS[4], DAYS[5], side="left"),
        row(vega, salted, DAYS[7], None),  # into water that is treated
        row(nashira, small, DAYS[8], None),
        row(nashira, bay, now - STAYS, None, side="right"),
        row(named(pond, "Pollux"), small, now - STAYS, None),  # where there is no room
        row(named(pond, "Pollux"), bay, DAYS[0], DAYS[2], side="right"),
    ]
    told, *_ = compared(rows, keeping)
    assert any("not to be moved" in str(one) for one in told)
    assert "With Pollux in it, Small is too small: " in str(told)


@pytest.fixture
def floors(pond, owner) -> dict[str, Any]:
    """Tanks of measured floors, some with somebody in them; wide ones, some that grow, one that was
    never measured and one of whom nothing is known."""
    sizes = {"Small": (900, 600), "Tight": (1500, 1000), "Large": (4000, 2000), "Unknown": (0, 0)}
    tanks = [
        Tank.objects.create(name=name, length_mm=long or None, width_mm=wide or None, **facts)
        for (name, (long, wide)), facts in zip(
            sizes.items(), ({}, {"can_divide": True}, {}, {}), strict=True
        )
    ]
    wide = cast.female("Alya"), cast.male("Meissa")
    for one, width in zip(wide, (420, 250), strict=True):
        Measurement.objects.create(animal=one, on=cast.ago(40), disc_width_mm=width)
    growing = [
        cast.ray(name, "M", born_on=cast.ago(days), born_precision="day")
        for name, days in (("Alkes", 300), ("Sadr", 240), ("Tarf", 150))
    ]
    Measurement.objects.bulk_create(
        Measurement(animal=one, on=cast.ago(days), disc_width_mm=360 - days + 9 * n)
        for n, one in enumerate(growing)
        for days in (120, 70, 30, 5)[n:]
    )
    never = cast.female("Wezen", born_on=cast.ago(200), born_precision="day")
    left = cast.male("Atik", state="left", state_on=cast.ago(3))
    for one, n, days in ((wide[0], 1, 200), (growing[0], 2, 9), (never, 1, 30), (left, 0, 6)):
        place(one, tanks[n], on=cast.ago(days), by=owner)
    return {"animals": [*wide, *growing, never, left, cast.ray("Izar", "U")], "tanks": tanks}


@given(data=st.data())
@of_few_rows(40)
def test_room_is_asked_about_as_of_one_row_after_the_other(floors, keeping, data):
    facts = st.builds(
        lambda days, lasts, **facts: {
            "since": cast.ago(days),
            "until": None if lasts is None else cast.ago(max(days - lasts, 0)),
            **facts,
        },
        days=st.sampled_from([0, 0, 1, 2, 3, 4, 6, 7, 8, 20]),
        lasts=st.sampled_from([None, None, None, None, 0, 5]),
        animal=st.sampled_from(floors["animals"]),
        tank=st.sampled_from([*floors["tanks"], floors["tanks"][1]]),
        side=st.sampled_from([None, None, None, None, "left", "right"]),
        reason=maybe("to learn"),
    )
    compared(data.draw(st.lists(facts, min_size=3, max_size=10)), keeping)


def test_room_is_asked_about_with_those_whom_the_rows_before_brought(floors, keeping):
    """Meissa was in the tank before; Sadr comes to her, and is asked of no more in a larger one;
    Alkes grows, and on the other side of the divider he is where he was."""
    alya, meissa, alkes, sadr, *_ = floors["animals"]
    small, tight, large, _ = floors["tanks"]
    rows = [
        row(meissa, small, cast.ago(8), cast.ago(7)),
        row(meissa, small, cast.ago(7), None),
        row(sadr, small, cast.ago(6), None),
        row(alya, large, cast.ago(5), None),
        row(alkes, tight, cast.ago(4), None),
        row(sadr, large, cast.ago(3), None),
        row(alkes, tight, cast.ago(2), None, side="left"),
    ]
    told, *_ = compared(rows, keeping)
    said = [[one for one, _ in doubts if one.startswith("With ")] for _, doubts, _ in told]
    assert [len(some) for some in said] == [0, 0, 1, 0, 1, 0, 0]
    assert said[2][0] == (
        "With Sadr in it, Small is too small: they want 1.31 m² of floor and it has 0.54 m², the "
        "largest wants 72.8 cm front to back and it has 60 cm and the largest wants 145.6 cm of "
        "length and it has 90 cm."
    )
    assert said[4][0].startswith("With Alkes in it, Tight gives room until about ")


def test_a_move_follows_the_moves_after_it_that_are_on_record(pond, keeping):
    """Into the first tank before two rows said where it was later; twice to where it is."""
    vega, (one, two, _) = named(pond, "Vega"), pond["tanks"]
    rows = [
        row(vega, one, DAYS[6], None),
        row(vega, two, DAYS[5], None, side="right"),
        row(vega, one, DAYS[6], None),
        row(vega, one, DAYS[7], None, side="left"),
        row(named(pond, "Rigel"), two, DAYS[7], None),
        row(named(pond, "Rigel"), two, DAYS[5], None),
    ]
    told, *_ = compared(rows, keeping)
    refused = [list(refusal) for *_, refusal in told]
    assert refused[0] == []
    assert "tank" in refused[2] + refused[3]


def test_queries_do_not_grow_with_rows(pond, keeping):
    """Sixty rows, of which each brings two together, ask no more than six."""
    tanks = [Tank.objects.create(name=f"Bay {n}") for n in range(3)]
    pairs = [("Lyra", "Nashira"), ("Vega", "Deneb"), ("Mira", "Homam")]

    def rows(turns: int) -> list[Any]:
        days = [day("2025-11-01") + datetime.timedelta(days=3 * n) for n in range(turns)]
        return [
            row(named(pond, name), tank, on + datetime.timedelta(days=n), on + STAYS)
            for on in days
            for n, (tank, pair) in enumerate(zip(tanks, pairs, strict=True))
            for name in pair
        ]

    def asked(turns: int) -> int:
        made = rows(turns)
        made.sort(key=KINDS["stays"].in_order)
        with (
            for_one_request(),
            CaptureQueriesContext(connection) as queries,
            transaction.atomic(),
        ):
            kept = KINDS["stays"].keep_all(made, keeping)
            transaction.set_rollback(True)
        assert all(one.record for one in kept)
        assert any(one.doubts for one in kept)
        return len(queries)

    asked(1)  # what is kept from act to act is known by now
    assert asked(10) <= asked(1) + 3
