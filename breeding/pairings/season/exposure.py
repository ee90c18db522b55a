"""Which mature male each female shared water with, and when: from tanks and from pairings.

Reckoned from facts that have been gathered; nothing is read here but by `maturity_of`.
"""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from breeding.animals import lineage
from breeding.animals.away.loans import Away
from breeding.animals.models import Animal
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.gestation.reckoned import one_day
from breeding.pairings.models import Pairing
from breeding.pairings.season.facts import Together, widths_of

Date = datetime.date
DAY = datetime.timedelta(days=1)
ALWAYS = Date.min
MALE, FEMALE = Animal.Sex.MALE, Animal.Sex.FEMALE


class Span(NamedTuple):
    """Days with one male by one source, both ends counted; `last` None while it goes on."""

    male: int
    first: Date
    last: Date | None
    pairing: Pairing | None  # None: it follows from where the two were

    @property
    def source(self) -> str:
        return "tank" if self.pairing is None else "pairing"


@dataclass(frozen=True)
class Stretch:
    """Days in the company of a male, both ends counted; `last` None while it goes on.

    `pairing` is the one to close while it goes on (None: they only share a tank), and the latest
    one of a stretch that is over. `sources`: "tank", "pairing" or both.
    """

    male: Animal
    first: Date
    last: Date | None
    pairing: Pairing | None = None
    pairings: tuple[Pairing, ...] = ()
    sources: frozenset[str] = frozenset({"pairing"})

    def until(self, asof: Date) -> Date:
        """Its last day up to that one."""
        return min(self.last or asof, asof)

    def days(self, asof: Date) -> list[Date]:
        return days_within([(self.first, self.until(asof))])


def days_within(spans: Iterable[tuple[Date, Date]]) -> list[Date]:
    """Every day of these spans once, in order; both ends of each are counted.

    >>> day = Date(2026, 3, 1)
    >>> [on.day for on in days_within([(day, day + DAY), (day, day), (day + DAY, day + 2 * DAY)])]
    [1, 2, 3]
    """
    found: list[int] = []
    upto = 0
    for first, last in sorted((first.toordinal(), last.toordinal()) for first, last in spans):
        found.extend(range(max(first, upto + 1), last + 1))
        upto = max(upto, last)
    return list(map(one_day, found))


@dataclass(frozen=True)
class Exposure:
    """The company of some females at all times, by female."""

    spans: Mapping[int, Sequence[Span]]
    males: Mapping[int, Animal]
    unknown_maturity: frozenset[int] = frozenset()  # neither age nor size on record
    loans: Mapping[int, Sequence[Away]] = field(default_factory=dict)

    def days_on_loan(self, animal: int, *, since: Date, until: Date) -> list[Date]:
        """The days within two on which it was lent: with whom it was then, nobody knows."""
        days: set[Date] = set()
        for away in self.loans.get(animal, ()):
            first, last = max(away.since, since), min(away.until or until, until)
            days.update(first + DAY * n for n in range((last - first).days + 1))
        return sorted(days)

    def stretches(self, female: int, *, since: Date = Date.min, asof: Date) -> tuple[Stretch, ...]:
        """Her company from one day to another, merged for each male, by its first day.

        What ends after `asof` goes on, as far as is known on that day.
        """
        by_male: dict[int, list[Span]] = defaultdict(list)
        for span in self.spans.get(female, ()):
            if _touches(span, since, asof):
                last = None if span.last is None or span.last > asof else span.last
                clipped = Span(span.male, max(span.first, since), last, span.pairing)
                by_male[span.male].append(clipped)
        found = [self._stretch(group) for spans in by_male.values() for group in _touching(spans)]
        return tuple(sorted(found, key=lambda one: (one.first, one.male.name, one.male.pk)))

    def is_with_any(self, female: int, since: Date, asof: Date) -> bool:
        """Whether she had any company from one day to another."""
        return any(_touches(span, since, asof) for span in self.spans.get(female, ()))

    def days_with_a_male(
        self, female: int, *, since: Date, until: Date
    ) -> tuple[tuple[Date, Date], ...]:
        """First and last days of her company within two days, whoever he was."""
        spans = [
            span._replace(first=max(span.first, since), last=min(span.last or until, until))
            for span in self.spans.get(female, ())
            if _touches(span, since, until)
        ]
        groups = [(group[0].first, group) for group in _touching(spans)]
        return tuple(
            (first, max(span.last for span in group if span.last)) for first, group in groups
        )

    def _stretch(self, group: Sequence[Span]) -> Stretch:
        lasts = [span.last for span in group]
        last = None if None in lasts else max(one for one in lasts if one is not None)
        paired = [span for span in group if span.pairing is not None]
        wanted = [span for span in paired if last is not None or span.last is None]
        return Stretch(
            male=self.males[group[0].male],
            first=group[0].first,
            last=last,
            pairing=wanted[-1].pairing if wanted else None,
            pairings=tuple(span.pairing for span in paired if span.pairing is not None),
            sources=frozenset(span.source for span in group),
        )


def _touches(span: Span, since: Date, until: Date) -> bool:
    return span.first <= until and (span.last is None or span.last >= since)


def _touching(spans: Iterable[Span]) -> list[list[Span]]:
    """Groups without a day between them, each by its first day."""
    groups: list[list[Span]] = []
    until: Date | None = None
    for span in sorted(spans, key=lambda one: (one.first, one.last or Date.max)):
        if groups and (until is None or span.first <= until + DAY):
            groups[-1].append(span)
            until = None if until is None or span.last is None else max(until, span.last)
        else:
            groups.append([span])
            until = span.last
    return groups


class Maturity(NamedTuple):
    """From when on one counts as mature; `is_known` is False when nothing says either way."""

    since: Date
    is_known: bool


def mature_since(
    born_on: Date | None,
    widths: Sequence[tuple[Date, int]],
    *,
    least_days: float,
    least_mm: float,
) -> Maturity:
    """The first day on which an animal counts as mature: old enough, or else large enough.

    born_on: the first possible day of birth. widths: (day, disc width in mm), by day.
    Where the age is known it decides: well-fed young are large long before they breed, and pups
    that grow up together are no company. Of unknown age a ray counts from the first day it was
    large enough; one that was small when first measured, from `least_days` after that day at the
    latest. With neither age nor size it counts at all times, and `is_known` says that nobody
    knows.

    >>> mature_since(Date(2026, 1, 1), [], least_days=548, least_mm=270).since
    datetime.date(2027, 7, 3)
    >>> mature_since(None, [], least_days=548, least_mm=270).is_known
    False
    """
    if born_on is not None:
        return Maturity(later(born_on, least_days), True)
    if not widths:
        return Maturity(ALWAYS, False)
    large = [on for on, width in widths if width >= least_mm]
    first = widths[0][0]
    if large[:1] == [first]:
        return Maturity(ALWAYS, True)
    return Maturity(min([later(first, least_days), *large[:1]]), True)


def later(on: Date, days: float) -> Date:
    """So many days later, as far as there are dates."""
    try:
        return on + datetime.timedelta(days=round(days))
    except OverflowError:
        return Date.max


def exposure_of(together: Together) -> Exposure:
    """The company of every female in these facts.

    Both members of a pairing count as mature: the keeper put them together to breed. Of those who
    only share a tank, days before either is mature are left out, so that pups growing up
    together are no company. While one of the two is on loan their company stops: what it was
    then, nobody knows.
    """
    spans: dict[int, list[Span]] = defaultdict(list)
    loans = together.loans
    for female, pairings in together.pairings.items():
        for one in pairings:
            spans[female].append(Span(one.male_id, one.introduced_on, one.separated_on, one))
    mature = _maturity(
        {pk: together.animals[pk] for pk in together.figures}, together.widths, together.figures
    )
    since = {pk: found.since for pk, found in mature.items()}
    for female, stretches in together.shared.items():
        hers = since[female]
        for met in stretches:
            first = max(met.first, hers, since[met.other])
            if met.last is None or first <= met.last:
                spans[female].append(Span(met.other, first, met.last, None))
    unknown = {pk for pk, found in mature.items() if not found.is_known}
    at_home = {
        female: [left for span in found for left in _at_home(span, female, loans)]
        for female, found in spans.items()
    }
    return Exposure(at_home, together.animals, frozenset(unknown), loans)


def _at_home(span: Span, female: int, loans: Mapping[int, Sequence[Away]]) -> list[Span]:
    """What loans leave of these days; the days of leaving and of coming back belong to both."""
    left = [span]
    for away in (*loans.get(female, ()), *loans.get(span.male, ())):
        left = [part for one in left for part in _cut(one, away)]
    return left


def _cut(span: Span, away: Away) -> Iterator[Span]:
    ends_before = span.last is not None and span.last <= away.since
    begins_after = away.until is not None and span.first >= away.until
    if ends_before or begins_after:
        yield span
        return
    if span.first <= away.since:
        yield span._replace(last=away.since)
    if away.until is not None and (span.last is None or span.last >= away.until):
        yield span._replace(first=away.until)


def maturity_of(animals: Mapping[int, Animal]) -> dict[int, Maturity]:
    """From when on each of these counts as mature, by key; at most one query."""
    profiles, shares = all_profiles(), lineage.current().shares
    figures = {pk: profiles.of(shares.get(pk, {})) for pk in animals}
    return _maturity(animals, widths_of(animals.values()), figures)


def _maturity(
    animals: Mapping[int, Animal],
    widths: Mapping[int, Sequence[tuple[Date, int]]],
    figures: Mapping[int, Figures],
) -> dict[int, Maturity]:
    return {
        pk: mature_since(
            one.born_on,
            widths.get(pk, ()),
            least_days=_least_days(figures[pk], one.sex),
            least_mm=_least_mm(figures[pk], one.sex),
        )
        for pk, one in animals.items()
    }


def _least_mm(figures: Figures, sex: str) -> float:
    return figures.figure("mature_male_mm" if sex == MALE else "mature_female_mm")


def _least_days(figures: Figures, sex: str) -> float:
    return figures.figure("mature_male_days" if sex == MALE else "mature_female_days")
