"""Losses of some years put under their litter, tank, age and cause."""

import datetime
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Count, Q
from django.utils.translation import gettext_lazy as _

from breeding.litters.losses.queries import Loss, losses, losses_a_year, lost_without_a_day
from breeding.litters.models import Litter
from breeding.program.problems.doubts import threshold
from breeding.words.language import tell

Date = datetime.date
YEARS = 3  # what is shown when nothing is asked
UNKNOWN = _("not known")
# Up to so many days, both counted: the first week, the month in which most learn to feed, the age
# at which young leave, and years.
AGES = (
    (0, _("on the day of birth")),
    (7, _("1 to 7 days")),
    (30, _("8 to 30 days")),
    (60, _("31 to 60 days")),
    (365, _("61 days to a year")),
    (1826, _("1 to 5 years")),
)
OLDER = _("older than 5 years")


@dataclass(frozen=True)
class Row:
    """One group: its name, where it leads, who was lost, of how many (None: that says nothing)."""

    label: str
    address: str
    those: Sequence[Loss]
    of: int | None = None

    @property
    def born_dead(self) -> int:
        return sum(one.is_stillborn for one in self.those)


@dataclass(frozen=True)
class Span:
    """The years that are shown; `year` None: the last few."""

    since: Date
    until: Date
    label: str
    year: int | None = None


@dataclass(frozen=True)
class LossReport:
    """What the page says of a span, and how many were lost in each year there is."""

    span: Span
    those: Sequence[Loss]
    by_cause: Sequence[Row]
    by_age: Sequence[Row]
    by_litter: Sequence[Row]
    by_tank: Sequence[Row]
    years: dict[int, int]
    without_a_day: int

    @property
    def born_dead(self) -> int:
        return sum(one.is_stillborn for one in self.those)

    @property
    def is_drawn(self) -> bool:
        """Whether there are enough for a line over more than one year."""
        enough = sum(self.years.values()) >= threshold("losses_least_for_plot")
        return enough and len(self.years) > 1


def loss_report(today: Date, year: int | None = None) -> LossReport:
    """Ten queries, bounded by who was lost in these years."""
    years = losses_a_year()
    span = span_of(today, year if year in years else None)
    those = losses(span.since, span.until)
    return LossReport(
        span=span,
        those=those,
        by_cause=_grouped(those, lambda one: (one.cause, ""), last=str(UNKNOWN)),
        by_age=_by_age(those),
        by_litter=_by_litter(those),
        by_tank=_grouped(those, _tank_of, last=tell("in no tank on record")),
        years=years,
        without_a_day=lost_without_a_day(),
    )


def span_of(today: Date, year: int | None) -> Span:
    """One year, or the last few up to today."""
    if year is not None:
        return Span(Date(year, 1, 1), Date(year, 12, 31), tell("in {year}", year=year), year)
    first = Date(max(today.year - YEARS + 1, 1), 1, 1)
    return Span(first, today, tell("since the beginning of {year}", year=first.year))


def age_label(days: int | None) -> str:
    """The group of ages.

    >>> age_label(0), age_label(8), age_label(400), age_label(None)
    ('on the day of birth', '8 to 30 days', '1 to 5 years', 'not known')
    """
    if days is None:
        return str(UNKNOWN)
    return str(next((label for most, label in AGES if days <= most), OLDER))


def _grouped(
    those: Iterable[Loss], named: Callable[[Loss], tuple[str, str]], *, last: str
) -> list[Row]:
    """Most first; what is not known comes last."""
    groups: dict[tuple[str, str], list[Loss]] = {}
    for one in those:
        groups.setdefault(named(one), []).append(one)
    rows = [Row(label, address, group) for (label, address), group in groups.items()]
    return sorted(rows, key=lambda row: (row.label == last, -len(row.those), row.label))


def _by_age(those: Sequence[Loss]) -> list[Row]:
    order = [*(str(label) for _most, label in AGES), str(OLDER), str(UNKNOWN)]
    rows = _grouped(those, lambda one: (age_label(one.age_days), ""), last=str(UNKNOWN))
    return sorted(rows, key=lambda row: order.index(row.label))


def _tank_of(one: Loss) -> tuple[str, str]:
    if one.tank is None:
        return tell("in no tank on record"), ""
    return str(one.tank), one.tank.get_absolute_url()


def _by_litter(those: Sequence[Loss]) -> list[Row]:
    """With how many were born in it; those of no litter on record last."""
    litters = {one.litter.pk: one.litter for one in those if one.litter is not None}
    counting = Q(pups__withdrawn_at__isnull=True)
    born = dict(
        Litter.objects.filter(pk__in=list(litters))
        .order_by()
        .annotate(born=Count("pups", filter=counting))
        .values_list("pk", "born")
    )
    groups: dict[int | None, list[Loss]] = {}
    for one in those:
        groups.setdefault(one.litter.pk if one.litter else None, []).append(one)
    rows = [
        Row(str(litters[key]), litters[key].get_absolute_url(), group, born.get(key))
        for key, group in groups.items()
        if key is not None
    ]
    rows = sorted(rows, key=lambda row: (-len(row.those), row.label))
    others = [Row(tell("of no litter on record"), "", groups[None])] if None in groups else []
    return rows + others
