"""How often what is due in a tank: chosen on its page, and reckoned from what was done last."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db import transaction
from django.db.models import OuterRef, Q, Subquery
from django.utils import timezone

from breeding.housing.models import Tank, TankRhythm, TankWork, WaterChange
from breeding.program.models import Program

Date = datetime.date
What = TankRhythm.What
FILTERS = (TankWork.Kind.FILTER, TankWork.Kind.MEDIA)
CLOSELY = (Tank.Kind.NURSERY, Tank.Kind.QUARANTINE)


@transaction.atomic
def choose_rhythms(tank: Tank, every_days: Mapping[str, int | None]) -> None:
    """Every how many days what is due in this tank; None: nothing is said. By `TankRhythm.What`."""
    standing = {row.what: row for row in TankRhythm.objects.filter(tank=tank)}
    for what, days in every_days.items():
        row = standing.get(what)
        if days is None:
            if row is not None:
                row.delete()
            continue
        row = row or TankRhythm(tank=tank, what=what)
        if row.every_days != days:
            row.every_days = days
            row.full_clean()
            row.save()


def rhythms_of(tanks: Iterable[Tank]) -> dict[int, dict[str, int]]:
    """Every how many days what is due, by tank, where its keeper chose so: one query."""
    found: dict[int, dict[str, int]] = {}
    rows = TankRhythm.objects.filter(tank__in=list(tanks))
    for tank, what, days in rows.values_list("tank", "what", "every_days"):
        found.setdefault(tank, {})[what] = days
    return found


def usual_test_days(tank: Tank, program: Program) -> int:
    """How old a test may be where the tank has no rhythm of its own; 0 for any age."""
    return program.nursery_test_days if tank.kind in CLOSELY else program.water_test_days


def may_be_days_old(tank: Tank, own: Mapping[str, int], program: Program) -> int:
    """How many days old a test may be by the tank's own rhythm, or else the program's; 0: any."""
    return own.get(What.TEST) or usual_test_days(tank, program)


@dataclass(frozen=True)
class Due:
    """One thing that is due in a tank: since when, every how many days, and when it was last."""

    what: str
    on: Date
    every_days: int
    last_on: Date | None


def due_in(
    rhythms: Mapping[str, int], last: Mapping[str, Date], *, in_use_since: Date
) -> list[Due]:
    """What of changes and filter care is due when, by the tank's own rhythm; none without one.

    Counted from when it was last done, or from the first day of those in it now.
    """
    return [
        Due(
            what,
            max(last.get(what, in_use_since), in_use_since)
            + datetime.timedelta(days=rhythms[what]),
            rhythms[what],
            last.get(what),
        )
        for what in (What.CHANGE, What.FILTER)
        if what in rhythms
    ]


def last_done(tanks: Iterable[Tank], asof: Date) -> dict[int, dict[str, Date]]:
    """The day of the newest change and of the newest filter care, by tank: two queries.

    A change of any tank that shares the water counts for all of them.
    """
    tanks = list(tanks)
    end = timezone.make_aware(
        datetime.datetime.combine(asof + datetime.timedelta(days=1), datetime.time.min)
    )
    found: dict[int, dict[str, Date]] = {tank.pk: {} for tank in tanks}
    for tank, at in _newest_changes(tanks, end).items():
        found[tank][What.CHANGE] = timezone.localdate(at)
    works = TankWork.objects.filter(tank=OuterRef("pk"), kind__in=FILTERS, on__lte=asof)
    rows = Tank.every.filter(pk__in=list(found)).annotate(
        last=Subquery(works.order_by("-on", "-pk").values("on")[:1])
    )
    for tank, on in rows.values_list("pk", "last"):
        if on is not None:
            found[tank][What.FILTER] = on
    return found


def _newest_changes(tanks: list[Tank], end: datetime.datetime) -> dict[int, datetime.datetime]:
    changes = WaterChange.objects.filter(tank=OuterRef("pk"), changed_at__lt=end)
    newest = changes.order_by("-changed_at", "-pk").values("changed_at")[:1]
    systems = {tank.system_id for tank in tanks if tank.system_id is not None}
    among = Tank.every.filter(Q(pk__in=[one.pk for one in tanks]) | Q(system__in=systems))
    of_tank: dict[int, datetime.datetime] = {}
    of_system: dict[int, datetime.datetime] = {}
    rows = among.annotate(last=Subquery(newest)).values_list("pk", "system", "last")
    for pk, system, at in rows:
        if at is None:
            continue
        of_tank[pk] = at
        if system is not None:
            of_system[system] = max(at, of_system.get(system, at))
    return {
        tank.pk: at
        for tank in tanks
        if (at := of_system.get(tank.system_id or 0) or of_tank.get(tank.pk)) is not None
    }
