"""Which backups are kept: the newest of each of the last days, weeks and months."""

from collections.abc import Callable, Hashable, Iterable
from datetime import datetime

# Assumptions of this project, no source: a slip is noticed within days, a loss within months.
DAYS, WEEKS, MONTHS = 7, 4, 12


def kept(moments: Iterable[datetime]) -> set[datetime]:
    """The newest backup of each of the last 7 days, 4 weeks and 12 months that have any.

    Days without a backup do not count, so that a computer that was off for a month loses none.

    >>> daily = [datetime(2026, 3, day, 3) for day in range(1, 32)]
    >>> sorted(one.day for one in kept([*daily, datetime(2026, 3, 31, 15)]))
    [15, 22, 25, 26, 27, 28, 29, 30, 31]
    >>> datetime(2026, 3, 31, 3) in kept([*daily, datetime(2026, 3, 31, 15)])
    False
    """
    newest_first = sorted(moments, reverse=True)
    return (
        _newest_of_each(newest_first, lambda one: one.date(), DAYS)
        | _newest_of_each(newest_first, lambda one: one.isocalendar()[:2], WEEKS)
        | _newest_of_each(newest_first, lambda one: (one.year, one.month), MONTHS)
    )


def _newest_of_each(
    newest_first: list[datetime], span: Callable[[datetime], Hashable], most: int
) -> set[datetime]:
    found: dict[Hashable, datetime] = {}
    for one in newest_first:
        found.setdefault(span(one), one)
    return set(list(found.values())[:most])
