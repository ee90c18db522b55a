"""Entered late and in any order through the services, the answer is the same."""

import datetime
from functools import partial

import pytest
from django.db import transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.litters.queries import likely_parents, measured_gestation
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.season.reading import season_of
from breeding.pairings.services import (
    record_outcome,
    record_scan,
    separate,
)
from breeding.program.queries import the_program
from breeding.program.services import withdraw
from tests import cast
from tests.tries import tries

pytestmark = pytest.mark.django_db
NOW = datetime.datetime(2026, 11, 1, 12, tzinfo=datetime.UTC)
TODAY = NOW.date()
see = partial(cast.see, now=NOW)
pair = partial(cast.pair, today=TODAY)


def scan(female, on, positive=True):
    return record_scan(female=female, on=cast.day(on), positive=positive, today=TODAY, by=None)


def answer(female, on="2026-05-20"):
    """All that the pages say of her, rounded where the order of adding up shows."""
    season = season_of(female, the_program(), asof=cast.day(on))
    return (
        round(season.estimate.chance, 12),
        season.estimate.due and season.estimate.due.as_tuple(),
        season.estimate.announced and season.estimate.announced.as_tuple(),
        season.exposed,
        {season.males[pk]: round(share, 9) for pk, share in season.sires.items()},
        season.reasons,
        [(action.kind, action.on, action.reason) for action in season.actions],
        [(one.male.name, one.first, one.last, one.sources) for one in season.company],
        (season.births_here, round(season.profile.gestation_mean_days, 9)),
    )


def test_any_order_of_entry_gives_the_same_answer(owner):
    mira, vega = (cast.female(name, pure="motoro") for name in ("Mira", "Vega"))
    deneb, altair = (cast.male(name, pure="motoro") for name in ("Deneb", "Altair"))
    pool, bay = (Tank.objects.create(name=name) for name in ("Boathouse pool", "Quiet bay"))

    def move(animal, tank, on):
        return lambda: move_animal(animal, tank, on=cast.day(on), by=None)

    def withdrawn():
        sighting = see(mira, "2026-03-13")
        withdraw(sighting, by=None, now=NOW, reason="It was Vega.")

    def end():
        record_outcome(
            female=mira, on=cast.day("2026-02-10"), kind="not_pregnant", today=TODAY, by=None
        )

    acts = [
        lambda: pair(mira, deneb, "2026-02-01", "2026-03-10"),
        lambda: see(mira, "2026-03-05", male=deneb),
        lambda: see(mira, "2026-03-15", "fresh_bite_marks", severity=2),
        lambda: scan(mira, "2026-05-05"),
        move(mira, pool, "2026-01-20"),
        move(deneb, pool, "2026-02-01"),
        move(deneb, bay, "2026-03-10"),
        move(altair, pool, "2026-03-12"),
        move(altair, bay, "2026-03-18"),
        withdrawn,
        end,
        lambda: (see(vega, "2025-02-28"), record_birth(
            dam=vega, born_on=cast.day("2025-06-07"), pups=[PupFacts()], today=TODAY, by=None
        )),
    ]  # fmt: skip

    def played(order):
        with transaction.atomic():
            for act in order:
                act()
            found = answer(mira)
            transaction.set_rollback(True)
        return found

    first = played(acts)
    assert first[0] > 0.8
    assert set(first[4]) == {"Deneb", "Altair"}
    assert first[3][0] == cast.day("2026-02-10")
    assert first[8][0] == 1

    @settings(deadline=None, max_examples=tries(20))
    @given(st.permutations(acts))
    def the_same(order):
        assert played(order) == first

    the_same()


def test_withdrawing_a_sighting_reckons_anew_and_keeps_it_readable(as_keeper):
    mira = cast.female("Mira", pure="motoro")
    see(mira, "2026-03-01", "parallel_swimming")
    before = answer(mira)
    seen = see(mira, "2026-03-03", note="By the window.")
    assert answer(mira)[0] > before[0] + 0.5
    withdraw(seen, by=None, now=NOW, reason="It was Vega.")
    assert answer(mira) == before
    page = as_keeper.get(f"/pairings/female/{mira.pk}/").content.decode()
    assert "withdrawn: It was Vega." in page
    assert "By the window." in page


# Keepers' dated records, played through the services day by day: who, mated, born, days, pups.
RECORDS = [
    pytest.param(
        "motoro", "histrix", "2003-02-28", "2003-06-07", 99, 9,
        id="A. Ochs and R. Moll 2003, keepers' record: 9 pups, 99 days",
    ),
    pytest.param(
        "motoro", "motoro", "2005-04-16", "2005-08-14", 120, 16,
        id="D. Wehrli 2005, keeper's record: 16 pups, 120 days",
    ),
    pytest.param(
        "scobina", "scobina", "2001-12-19", "2002-04-08", 110, 3,
        id="A. Ochs 2002, keeper's record: 3 pups, 110 days",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("dams", "sires", "mated", "born", "days", "pups"), RECORDS)
def test_a_keepers_record_is_foretold_from_the_sighting_and_measured_at_birth(
    owner, dams, sires, mated, born, days, pups
):
    """How long the two were together is not on record; a week around the mating is ours."""
    dam, sire = cast.female("Vega", pure=dams), cast.male("Altair", pure=sires)
    pool, bay = (Tank.objects.create(name=name) for name in ("Boathouse pool", "Quiet bay"))
    mated_on, born_on = cast.day(mated), cast.day(born)
    day = datetime.timedelta(days=1)
    for animal in (dam, sire):
        move_animal(animal, pool, on=mated_on - 3 * day, by=None)
    pairing = pair(dam, sire, f"{mated_on - 3 * day}")
    see(dam, mated_on, male=sire)
    separate(pairing, on=mated_on + 3 * day, today=TODAY)
    move_animal(sire, bay, on=mated_on + 3 * day, by=None)

    def season(on):
        return season_of(dam, the_program(), asof=on)

    foretold = season(mated_on + 30 * day)
    assert foretold.estimate.chance > 0.7
    assert foretold.estimate.announced.p05 <= born_on <= foretold.estimate.announced.p95
    scan(dam, f"{mated_on + 60 * day}")
    sure = season(mated_on + 60 * day)
    assert sure.estimate.chance > 0.95
    kinds = {action.kind for action in sure.actions}
    assert {"nursery_by", "watch_from"} <= kinds
    assert not any(kind.startswith("separate") for kind in kinds)  # she is apart already
    watched = [action.on for action in sure.actions if action.kind == "watch_from"]
    assert watched[0] <= born_on
    eve = season(born_on - day)
    assert not eve.is_overdue
    assert eve.estimate.due.p05 >= born_on

    parents = likely_parents(dam, the_program(), asof=born_on)
    assert parents.sire == sire
    litter = record_birth(
        dam=dam,
        born_on=born_on,
        pups=[PupFacts() for _ in range(pups)],
        today=TODAY,
        by=None,
        parents=parents,
    )
    assert (born_on - mated_on).days == days
    measured = measured_gestation(litter, the_program())
    assert measured.days == days
    assert measured.shortest <= days <= measured.longest
    assert litter.pups.filter(animal__sire=sire).count() == pups
    after = season(born_on + day)
    assert after.estimate.chance == 0
    assert after.births_here == 1
