"""Who is in a tank, and who was moved out of one lately, read once a page."""

import datetime
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import NamedTuple

from django.db.models import Q, QuerySet

from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal, Photograph
from breeding.housing.models import Stay, Tank
from breeding.program.frame.memory import only_reads, remembered_while_reading
from breeding.program.problems.doubts import threshold
from breeding.program.unchanged.along import take_along
from breeding.program.unchanged.marks import rests_on
from breeding.program.unchanged.records import kept_records
from breeding.program.unchanged.values import kept_while_unchanged

Date = datetime.date
FEW = 200  # animals: to ask for their stays costs less than to have those of all
_NAME = "stays of late"
take_along(_NAME, None)


def moved_out_since(on: Date) -> Date:
    """How far back a stay that has ended still tells something: as long as quarantine lasts."""
    return on - datetime.timedelta(days=round(threshold("quarantine_days")))


def stays_of_late(on: Date) -> Sequence[Stay]:
    """Stays that are open, or ended lately, oldest first, with tank, animal and portrait.

    One left open by an animal that was gone by that day is none. One query, in a request that
    only reads never a second.
    """

    def read() -> QuerySet[Stay]:
        rows = rows_of_late(on).select_related("tank", "animal", "animal__portrait")
        return rows.order_by("since", "pk")

    held: dict[Date, Sequence[Stay]] = remembered_while_reading(_NAME, dict)
    if on in held:
        rests_on(Stay, Tank, Animal, Photograph)
    else:
        held[on] = kept_records(("stays of late", on), read)
    return held[on]


def rows_of_late(on: Date) -> QuerySet[Stay]:
    """The same not asked yet, for a question about some of them."""
    gone = Q(until__isnull=True, animal__state__in=GONE) & (
        Q(animal__state_on__isnull=True) | Q(animal__state_on__lte=on)
    )
    rows = Stay.objects.filter(Q(until__isnull=True) | Q(until__gt=moved_out_since(on)))
    return rows.exclude(gone)


def in_tanks_after(on: Date) -> list[Stay]:
    """`stays_over` of that day: who was in a tank at its end."""
    return _over(on, stays_of_late(on))


def beside_after(on: Date, animals: Collection[int]) -> list[Stay]:
    """The same of the tanks alone in which one of these was: for an act, which has read no other.

    One query.
    """
    tanks = rows_of_late(on).filter(animal__in=animals).values("tank")
    return _over(on, rows_of_late(on).filter(tank__in=tanks).select_related("tank", "animal"))


def _over(on: Date, stays: Iterable[Stay]) -> list[Stay]:
    return [stay for stay in stays if stay.since <= on and (stay.until is None or stay.until > on)]


def in_tanks_of(keys: Collection[int], on: Date) -> list[Stay]:
    """The same of these alone: of many, where a page only reads, out of all, as at hand."""
    if only_reads() and len(keys) > FEW:
        return [stay for stay in in_tanks_after(on) if stay.animal_id in keys]
    rows = rows_of_late(on).filter(animal__in=keys, since__lte=on).exclude(until__lte=on)
    return list(rows.select_related("tank", "animal").order_by("since", "pk"))


def in_tanks_now(today: Date) -> list[Stay]:
    """`present_stays`: open, of animals that are here or on loan."""
    return [
        stay
        for stay in stays_of_late(today)
        if stay.until is None and stay.animal.state not in GONE
    ]


class TankOfOne(NamedTuple):
    """The tank that somebody is in."""

    pk: int
    name: str


def where_everybody_is(today: Date) -> Mapping[int, TankOfOne]:
    """The place of each animal of `in_tanks_now`, by its key: no record is made."""

    def read() -> dict[int, TankOfOne]:
        stays = in_tanks_now(today)
        return {stay.animal_id: TankOfOne(stay.tank_id, stay.tank.name) for stay in stays}

    return kept_while_unchanged(("where everybody is", today), read)


def here_in_tanks(on: Date) -> list[Stay]:
    """Open stays that had begun by that day, of animals that are here."""
    return [
        stay
        for stay in in_tanks_now(on)
        if stay.since <= on and stay.animal.state == Animal.State.HERE
    ]
