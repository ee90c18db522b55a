"""The water of every tank with animals in it: whether it is fit, and when it is to be tested."""

import datetime
from dataclasses import dataclass

from django.utils import timezone

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.lately import here_in_tanks
from breeding.housing.water.fit import WaterFit
from breeding.housing.water.queries import STANDS_DAYS, tests_of_late, water_fits
from breeding.housing.work.rhythm import (
    CLOSELY,
    Due,
    What,
    due_in,
    last_done,
    may_be_days_old,
    rhythms_of,
)
from breeding.program.models import Program
from breeding.program.unchanged.growing import kept_from_page_to_page
from breeding.program.unchanged.marks import rests_on

Date = datetime.date


@dataclass(frozen=True)
class WatchedTank:
    """A tank with animals in it. nitrite_on: the day of its newest test of nitrite that found any.

    in_use_since: the first day of those in it now. test_days: how old its newest test may be; 0
    for any age. work: changes and filter care, when they are due by the tank's own rhythm.
    """

    tank: Tank
    animals: tuple[Animal, ...]
    in_use_since: Date
    fit: WaterFit
    nitrite_on: Date | None
    test_days: int
    work: tuple[Due, ...] = ()

    @property
    def is_watched_closely(self) -> bool:
        return self.tank.kind in CLOSELY

    @property
    def test_due_on(self) -> Date | None:
        """So many days after the newest test, or after the first animal came; None: no reminder."""
        if not self.test_days:
            return None
        last = self.fit.tested_on or self.in_use_since
        return max(last, self.in_use_since) + datetime.timedelta(days=self.test_days)


def watched_tanks(program: Program, *, asof: Date) -> list[WatchedTank]:
    """Every tank in use with animals that are here, by name: some queries, however many tanks."""

    def read() -> list[WatchedTank]:
        rests_on(Program)
        return _watched(program, asof)

    return kept_from_page_to_page(("watched tanks", asof), read)


def _watched(program: Program, asof: Date) -> list[WatchedTank]:
    stays: dict[int, list[Stay]] = {}
    for stay in here_in_tanks(asof):
        stays.setdefault(stay.tank_id, []).append(stay)
    tanks = [some[0].tank for some in stays.values() if not some[0].tank.is_withdrawn]
    if not tanks:
        return []
    fits = water_fits(tanks, asof, program=program)
    nitrite, rhythms = _nitrite(asof), rhythms_of(tanks)
    with_work = [one for one in tanks if rhythms.get(one.pk, {}).keys() - {What.TEST}]
    last = last_done(with_work, asof) if with_work else {}
    return [
        WatchedTank(
            tank,
            tuple(stay.animal for stay in stays[tank.pk]),
            stays[tank.pk][0].since,
            fits[tank.pk],
            nitrite.get(tank.pk),
            may_be_days_old(tank, rhythms.get(tank.pk, {}), program),
            tuple(
                due_in(
                    rhythms.get(tank.pk, {}),
                    last.get(tank.pk, {}),
                    in_use_since=stays[tank.pk][0].since,
                )
            ),
        )
        for tank in sorted(tanks, key=lambda one: one.name)
    ]


def _nitrite(asof: Date) -> dict[int, Date]:
    """The day of the newest test of nitrite, by tank in use, where it found any."""

    def read() -> dict[int, Date]:
        first, found = asof - datetime.timedelta(days=STANDS_DAYS), {}
        for pk, tests in tests_of_late(Tank.objects.all(), asof).items():
            newest = next((one for one in tests if one.nitrite_mg_l is not None), None)
            on = timezone.localdate(newest.tested_at) if newest else None
            if newest and on and newest.nitrite_mg_l and on >= first:
                found[pk] = on
        return found

    return kept_from_page_to_page(("nitrite", asof), read)  # also where animals are moved
