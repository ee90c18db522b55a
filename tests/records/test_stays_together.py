"""Earlier stays brought in together are asked about as each is by an act of its own."""

import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from breeding.animals.away.lent import Loan
from breeding.animals.models import Animal
from breeding.health.apart.services import keep_apart
from breeding.housing.models import Tank
from breeding.housing.services import place
from breeding.pairings.models import Outcome, Pairing, Rest, Scan, SignKind
from breeding.pairings.services import log_sighting
from breeding.program.frame.memory import for_one_request
from breeding.program.problems.doubts import Doubt
from breeding.program.services import withdraw
from breeding.records.incoming.kinds.kept import one_by_one
from breeding.records.incoming.kinds.kind import Keeping
from breeding.records.incoming.kinds.table import KINDS
from breeding.records.incoming.kinds.tanks import stays as of_stays
from tests import cast
from tests.cast import day
from tests.records.one_row import ONE_ROW
from tests.records.test_all_together import NOW, TODAY, become, maybe
from tests.tries import tries

pytestmark = pytest.mark.django_db

BIRTH = day("2025-08-01")  # the newest one: what it teaches, no row changes
DAYS = [BIRTH + datetime.timedelta(days=n) for n in (5, 60, 61, 110, 150, 155, 160, 200, 240, 300)]
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
@settings(
    max_examples=tries(10),
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
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


def test_only_where_somebody_may_be_in_quarantine_a_row_is_an_act_of_its_own(
    pond, keeping, monkeypatch
):
    alone: list[Any] = []
    kept_alone = of_stays.kept_alone

    def noted(keep: Any, facts: Any, keeping: Keeping) -> Any:
        alone.append((facts["animal"].call_name, facts["tank"].name))
        return kept_alone(keep, facts, keeping)

    monkeypatch.setattr(of_stays, "kept_alone", noted)
    inside, _, apart = pond["tanks"]
    names = ("Biham", "Vega", "Nashira", "Pollux")
    rows = [row(named(pond, name), inside, DAYS[4], DAYS[5]) for name in names]
    rows.append(row(named(pond, "Pollux"), inside, DAYS[0], DAYS[2]))  # before he was apart
    rows.append(row(named(pond, "Mira"), apart, DAYS[5], DAYS[6]))
    compared(rows, keeping)
    assert set(alone) == {("Pollux", "Tank 1"), ("Mira", "Apart")}
    assert len(alone) == 4  # asked, and once they are answered


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
