"""What was done to tanks: the latest changes and cares, and how they are said; writes nothing."""

import datetime
from collections.abc import Iterable, Sequence

from django.db.models import OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from breeding.housing.models import Tank, TankWork, WaterChange
from breeding.housing.sizes import volume_words
from breeding.program.models import Program
from breeding.words.language import tell

SHOWN = 5
USUAL_PERCENT = (10, 20, 30, 50)  # of its water, changed at once


def amount_words(change: WaterChange, program: Program) -> str:
    """How much, and the same the other way when the tank's volume is known."""
    volume, unit = change.tank.volume_litres, program.volume_unit
    if change.percent is not None:
        said = f"{change.percent} %"
        if not volume:
            return said
        about = volume_words(volume * change.percent / 100, unit)
        return tell("{share} (about {volume})", share=said, volume=about)
    if change.litres is not None:
        said = volume_words(change.litres, unit)
        return said + " (" + _in_hundred(change.litres, volume) + ")" if volume else said
    return tell("amount not recorded")


def _in_hundred(litres: int, volume: int) -> str:
    share = 100 * litres / volume
    return f"{share:.0f} %" if share >= 1 else tell("less than {share}", share="1 %")


def change_words(change: WaterChange, program: Program) -> str:
    """How much and with which water, in one line."""
    amount = amount_words(change, program)
    if change.source is None:
        return amount
    return tell("{amount}, with {water}", amount=amount, water=change.source)


def sharing(tanks: Iterable[Tank]) -> Q:
    """Rows of these tanks and of all that share their water."""
    tanks = list(tanks)
    systems = {tank.system_id for tank in tanks if tank.system_id is not None}
    return Q(tank__in=tanks) | Q(tank__system__in=systems) if systems else Q(tank__in=tanks)


def shares_water(one: Tank, other: Tank) -> bool:
    return one.pk == other.pk or (one.system_id is not None and one.system_id == other.system_id)


def changes_of(tank: Tank, most: int = SHOWN) -> list[WaterChange]:
    """The latest changes of this tank, withdrawn ones too: one query."""
    found = WaterChange.every.filter(tank=tank)
    return list(found.select_related("tank", "source", "recorded_by", "withdrawn_by")[:most])


def works_of(tank: Tank, most: int = SHOWN) -> list[TankWork]:
    """The latest care of this tank, withdrawn ones too: one query."""
    found = TankWork.every.filter(tank=tank)
    return list(found.select_related("tank", "recorded_by", "withdrawn_by")[:most])


def last_change_of(tank: Tank) -> WaterChange | None:
    """The newest change of this tank that counts, which the next is likely to be like."""
    return WaterChange.objects.filter(tank=tank).select_related("source", "tank").first()


def last_changes_of(tanks: Iterable[Tank]) -> dict[int, WaterChange]:
    """The newest change that counts of each of these tanks, by its key: one query."""
    newest = WaterChange.objects.filter(tank=OuterRef("pk")).order_by("-changed_at", "-pk")
    among = Tank.every.filter(pk__in=[tank.pk for tank in tanks])
    keys = among.annotate(newest=Subquery(newest.values("pk")[:1])).values("newest")
    found = WaterChange.objects.filter(pk__in=keys).select_related("tank", "source")
    return {change.tank_id: change for change in found}


def usual_percent_of(tanks: Sequence[Tank]) -> int | None:
    """How much of their water was changed last, in percent: the nearest of those that are usual.

    None where these tanks differ; of tanks without any change, as in the tank changed last.
    """
    last = list(last_changes_of(tanks).values())
    if not last:
        last = list(WaterChange.objects.select_related("tank")[:1])
    known = {found for one in last if (found := _percent_of(one)) is not None}
    nearest = {_nearest_usual(one) for one in known}
    return nearest.pop() if len(nearest) == 1 else None


def _nearest_usual(percent: float) -> int:
    return min(USUAL_PERCENT, key=lambda usual: abs(usual - percent))


def _percent_of(change: WaterChange) -> float | None:
    if change.percent is not None:
        return change.percent
    volume = change.tank.volume_litres
    return 100 * change.litres / volume if change.litres and volume else None


def had_before(changes: Sequence[WaterChange], asof: datetime.date, *, days: int) -> set[int]:
    """The keys of the tanks that got as much of the same water in the days before: one query."""
    source = changes[0].source
    if source is None:
        return set()
    since = timezone.make_aware(
        datetime.datetime.combine(asof - datetime.timedelta(days=days), datetime.time.min)
    )
    rows = WaterChange.objects.filter(
        tank__in=[one.tank for one in changes],
        source=source,
        changed_at__gte=since,
        changed_at__lt=changes[0].changed_at,
    ).values_list("tank", "percent", "litres")
    had = set(rows[:500])
    return {
        one.tank.pk
        for one in changes
        if any(
            tank == one.tank.pk and _is_as_much(one, percent, litres)
            for tank, percent, litres in had
        )
    }


def _is_as_much(change: WaterChange, percent: int | None, litres: int | None) -> bool:
    if change.percent is not None:
        return percent is not None and percent >= change.percent
    if change.litres is not None:
        return litres is not None and litres >= change.litres
    return percent is None and litres is None


def every_change() -> QuerySet[WaterChange]:
    return WaterChange.every.select_related("tank", "source", "recorded_by")


def every_work() -> QuerySet[TankWork]:
    return TankWork.every.select_related("tank", "recorded_by")
