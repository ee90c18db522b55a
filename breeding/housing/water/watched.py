"""The water of every tank with animals in it: whether it is fit, and when it is to be tested."""

import datetime
from dataclasses import dataclass

from django.db.models import Q
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import present_stays
from breeding.housing.water.fit import WaterFit
from breeding.housing.water.queries import standing_tests, water_fits
from breeding.housing.work.rhythm import Due, What, due_in, last_done, rhythms_of
from breeding.program.models import Program

Date = datetime.date

# A reading that is not fit stands until a newer one is; after so long nobody knows. An assumption.
STANDS_DAYS = 90
CLOSELY = (Tank.Kind.NURSERY, Tank.Kind.QUARANTINE)


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


def usual_test_days(tank: Tank, program: Program) -> int:
    """How old a test may be where the tank has no rhythm of its own; 0 for any age."""
    return program.nursery_test_days if tank.kind in CLOSELY else program.water_test_days


def watched_tanks(program: Program, *, asof: Date) -> list[WatchedTank]:
    """Every tank in use with animals that are here, by name: some queries, however many tanks."""
    stays: dict[int, list[Stay]] = {}
    present = present_stays().filter(animal__state=Animal.State.HERE, since__lte=asof)
    for stay in present.select_related("tank", "animal", "animal__portrait").order_by("since"):
        stays.setdefault(stay.tank_id, []).append(stay)
    tanks = [some[0].tank for some in stays.values() if not some[0].tank.is_withdrawn]
    if not tanks:
        return []
    fits = water_fits(tanks, asof, STANDS_DAYS, program=program)
    nitrite, rhythms = _nitrite(tanks, asof), rhythms_of(tanks)
    with_work = [one for one in tanks if rhythms.get(one.pk, {}).keys() - {What.TEST}]
    last = last_done(with_work, asof) if with_work else {}
    return [
        WatchedTank(
            tank,
            tuple(stay.animal for stay in stays[tank.pk]),
            stays[tank.pk][0].since,
            fits[tank.pk],
            nitrite.get(tank.pk),
            rhythms.get(tank.pk, {}).get(What.TEST) or usual_test_days(tank, program),
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


def _nitrite(tanks: list[Tank], asof: Date) -> dict[int, Date]:
    """The day of the newest test of nitrite, by tank, where it found any: one query."""
    systems = {tank.system_id for tank in tanks if tank.system_id is not None}
    until = datetime.datetime.combine(asof + datetime.timedelta(days=1), datetime.time.min)
    end = timezone.make_aware(until)
    rows = standing_tests().filter(
        Q(tank__in=tanks) | Q(tank__system__in=systems),
        nitrite_mg_l__isnull=False,
        tested_at__lt=end,
        tested_at__gte=end - datetime.timedelta(days=STANDS_DAYS + 1),
    )
    tests = list(rows.select_related("tank").order_by("-tested_at", "-pk"))
    found = {}
    for tank in tanks:
        same = (test for test in tests if test.tank_id == tank.pk or _shared(test.tank, tank))
        newest = next(same, None)
        if newest is not None and newest.nitrite_mg_l:
            found[tank.pk] = timezone.localdate(newest.tested_at)
    return found


def _shared(one: Tank, other: Tank) -> bool:
    return one.system_id is not None and one.system_id == other.system_id
