"""The readings of a span, never more than are drawn well; writes nothing."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils import timezone

from breeding.housing.course.span import Span
from breeding.housing.models import Tank
from breeding.housing.water.fit import as_ion
from breeding.housing.water.queries import standing_tests
from breeding.housing.work.queries import sharing

MOST_READ = 800  # the newest of the span; a shorter span shows what lies before them
MOST_DRAWN = 240
QUANTITIES = ("temperature", "ph", "ammonia", "nitrite", "nitrate", "conductivity", "kh")
_COLUMNS = ("tested_at", "temperature_c", "ph", "conductivity_us_cm", "kh_dh")
_IONS = ("ammonia", "nitrite", "nitrate")
Point = tuple[datetime.datetime, float]


@dataclass(frozen=True)
class Readings:
    """By quantity, oldest first; ammonia, nitrite and nitrate in mg/L of the ion.

    since: the first day that is shown, where older tests of the span were not read.
    """

    points: dict[str, list[Point]]
    tests: int
    since: datetime.date | None = None


def midnight(on: datetime.date) -> datetime.datetime:
    return timezone.make_aware(datetime.datetime.combine(on, datetime.time.min))


def readings_in(tanks: Iterable[Tank], span: Span) -> Readings:
    """What tests of these tanks, and of any that share their water, read: one query."""
    columns = [*_COLUMNS, *(f"{one}_mg_l" for one in _IONS), *(f"{one}_as" for one in _IONS)]
    rows = standing_tests().filter(
        sharing(tanks),
        tested_at__gte=midnight(span.first),
        tested_at__lt=midnight(span.last + datetime.timedelta(days=1)),
    )
    newest = list(rows.order_by("-tested_at", "-pk").values(*columns)[: MOST_READ + 1])
    shown = newest[:MOST_READ]
    points: dict[str, list[Point]] = {what: [] for what in QUANTITIES}
    for row in reversed(shown):
        at = timezone.localtime(row["tested_at"])
        for what, column in zip(("temperature", "ph", "conductivity", "kh"), _COLUMNS[1:],
                                strict=True):  # fmt: skip
            if row[column] is not None:
                points[what].append((at, float(row[column])))
        for what in _IONS:
            if row[f"{what}_mg_l"] is not None:
                value = as_ion(float(row[f"{what}_mg_l"]), what, row[f"{what}_as"])
                points[what].append((at, round(value, 3)))
    cut = timezone.localdate(shown[-1]["tested_at"]) if len(newest) > MOST_READ else None
    return Readings(points, len(shown), cut)


def thinned(points: Sequence[Point], most: int = MOST_DRAWN) -> list[Point]:
    """At most so many points: of each stretch of them the lowest and the highest, in their order.

    >>> day = datetime.datetime(2026, 3, 1)
    >>> [value for _, value in thinned([(day, one) for one in (5, 1, 9, 4, 2, 3, 8, 7)], most=4)]
    [1, 9, 2, 8]
    """
    if len(points) <= most:
        return list(points)
    size = -(-len(points) // max(most // 2, 1))
    kept: list[Point] = []
    for start in range(0, len(points), size):
        part = range(start, min(start + size, len(points)))
        ends = {choose(part, key=lambda one: points[one][1]) for choose in (min, max)}
        kept += [points[one] for one in sorted(ends)]
    return kept
