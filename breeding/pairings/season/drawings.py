"""From a season's reading to its drawing, and words: narrow beside other things, and as a sheet of
its own as wide as the window."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from hashlib import blake2b
from typing import Any

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from breeding.gestation.estimate import Distribution
from breeding.pairings.models import Outcome, Sighting
from breeding.pairings.season.drawn.line import Company, Mark, Season, common_span, describe, draw
from breeding.pairings.season.reading import DAY, SeasonReading, Stretch, seen_on
from breeding.pairings.season.years import YearSeason
from breeding.program.unchanged.rows import Shelf
from breeding.words.days import short_day
from breeding.words.numbers import some

NARROW, WIDE = 320, 1000  # of a drawing, in CSS pixels
DRAWN = Shelf(most=4_000_000, most_of_one=1_000_000)  # bytes
ROWS_A_SHEET = 12  # of a year: so many fit on a page of paper
MOST_SIGNS, WEIGHTIEST = 30, 10  # that are drawn of a season: these, and the latest
MOST_STAYS, MOST_NAMED = 8, 2  # stretches of company of a season, and males named of one


@dataclass(frozen=True)
class SeasonDrawing:
    """Facts drawn under each other, as narrow as a column of a page or a phone, and in sentences.

    key: unique on the page. The page says `words` once, under `words_id`, where the drawing
    finds them.
    """

    facts: tuple[Season, ...]
    asof: date
    key: str
    heading: bool | None = None

    @cached_property
    def drawn(self) -> SafeString:
        return _drawn(
            list(self.facts),
            asof=self.asof,
            width=NARROW,
            id=self.key,
            heading=self.heading,
            described_by=self.words_id,
        )

    @property
    def words(self) -> str:
        return " ".join(describe(one, self.asof) for one in self.facts)

    @property
    def words_id(self) -> str:
        return f"{self.key}-words"


@dataclass(frozen=True)
class SeasonSheet:
    """Facts over the same days, narrow and wide, each when it is asked for: a page takes the one
    its window shows, or both while nobody knows which; and in sentences.

    key: unique on the page. span: the first and last day of all. in_one: drawn in one piece where
    it is wide, or else every season by itself, so that paper can break between any two. The page
    says each of `told` once, under its id, and all of them under `words_id`.
    """

    facts: tuple[Season, ...]
    asof: date
    key: str
    span: tuple[date, date]
    in_one: bool = False

    @cached_property
    def narrow(self) -> list[SafeString]:
        return self._each("narrow", NARROW)

    @cached_property
    def wide(self) -> list[SafeString]:
        if self.in_one:
            return [self._drawn(list(self.facts), WIDE, f"{self.key}-wide", self.words_id)]
        return self._each("wide", WIDE)

    @property
    def told(self) -> list[tuple[str, str]]:
        """Every season's id and its words."""
        return [(self._told_id(n), describe(one, self.asof)) for n, one in enumerate(self.facts)]

    @property
    def words_id(self) -> str:
        return f"{self.key}-words"

    def _told_id(self, n: int) -> str:
        return f"{self.words_id}-{n}"

    def _each(self, which: str, width: int) -> list[SafeString]:
        return [
            self._drawn(one, width, f"{self.key}-{which}-{n}", self._told_id(n))
            for n, one in enumerate(self.facts)
        ]

    def _drawn(
        self, facts: Season | list[Season], width: int, id: str, described_by: str
    ) -> SafeString:
        return _drawn(
            facts,
            asof=self.asof,
            width=width,
            id=id,
            heading=True,
            span=self.span,
            described_by=described_by,
        )


def season_facts(reading: SeasonReading, closed_by: Outcome | None = None) -> Season:
    """What is drawn of one female's season; one that is closed ends with its outcome.

    A closed one is drawn as it was reckoned on the day before its end.
    """
    since = reading.since
    ends = closed_by.on if closed_by else None
    found = reading.estimate if ends is None else reading.reckon(ends - DAY)
    signs = _drawn_signs(reading.sightings)
    company, more_males = _drawn_company(reading.company, ends)
    births = [one.on for one in reading.outcomes[-1:] if one.is_birth and since and one.on >= since]
    if closed_by is not None and closed_by.is_birth:
        births.append(closed_by.on)
    return Season(
        name=reading.female.name,
        state=reading.state_words if closed_by is None else outcome_words(closed_by),
        company=company,
        more_males=more_males,
        apart=[(first, last or ends) for first, last in _apart(reading)],
        signs=[Mark(seen_on(one), one.kind.said_within, one.kind.strength) for one in signs],
        more_signs=len(reading.sightings) - len(signs),
        mating=_plain(found.mating_distribution),
        window=(found.announced.p05, found.announced.p95) if found.announced else None,
        most_even=found.announced.p50 if found.announced else None,
        due=_plain(found.due_distribution),
        births=births,
        separations=[one.last for one in company if one.last is not None],
        chance=found.chance,
    )


def _drawn_signs(sightings: Sequence[Sighting]) -> list[Sighting]:
    """All of them, unless a season has too many: those that say most, and the latest."""
    if len(sightings) <= MOST_SIGNS:
        return list(sightings)
    weighty = sorted(sightings, key=lambda one: (one.kind.strength, one.seen_at), reverse=True)
    kept = {one.pk for one in weighty[:WEIGHTIEST]}
    kept |= {one.pk for one in sightings[WEIGHTIEST - MOST_SIGNS :]}
    return [one for one in sightings if one.pk in kept]


def _drawn_company(stretches: Sequence[Stretch], ends: date | None) -> tuple[list[Company], int]:
    """All of it, unless there is too much: the latest, males of the same days together, and how
    many males were with her before."""
    if len(stretches) <= MOST_STAYS:
        return [Company(one.male.name, one.first, one.last or ends) for one in stretches], 0
    alike: dict[tuple[date, date | None], list[str]] = {}
    for one in stretches:
        alike.setdefault((one.first, one.last), []).append(one.male.name)
    latest = sorted(alike, key=lambda days: (days[1] or date.max, days[0]))
    drawn = sorted(latest[-MOST_STAYS:], key=lambda days: days[0])
    kept = [
        Company(some(alike[first, last], MOST_NAMED), first, last or ends) for first, last in drawn
    ]
    return kept, sum(len(alike[days]) for days in latest[:-MOST_STAYS])


def outcome_words(outcome: Outcome) -> str:
    return f"{outcome.get_kind_display()}, {short_day(outcome.on, outcome.on)}"


def _plain(distribution: Distribution) -> tuple[Sequence[date], Sequence[float]]:
    days, mass = distribution
    return days, mass.tolist()


def _apart(reading: SeasonReading) -> list[tuple[date, date | None]]:
    """Stretches without a male, after the first company."""
    gaps: list[tuple[date, date | None]] = []
    until = None
    for stretch in sorted(reading.company, key=lambda one: one.first):
        if until is not None and stretch.first > until + DAY:
            gaps.append((until + DAY, stretch.first - DAY))
        last = stretch.last or reading.asof
        until = last if until is None else max(until, last)
    if until is not None and until < reading.asof and not reading.together_since:
        gaps.append((until + DAY, None))
    return gaps


def draw_season(reading: SeasonReading) -> SeasonDrawing:
    """One female's season line."""
    return SeasonDrawing((season_facts(reading),), reading.asof, f"season-{reading.female.pk}")


def draw_together(readings: Sequence[SeasonReading], *, id: str) -> SeasonDrawing | None:
    """All seasons under each other with a common time axis; None when there is none."""
    if not readings:
        return None
    facts = tuple(season_facts(reading) for reading in readings)
    return SeasonDrawing(facts, readings[0].asof, id, heading=True)


def draw_sheet(readings: Sequence[SeasonReading]) -> SeasonSheet | None:
    """All seasons over the same days, as a sheet; None when there is none."""
    if not readings:
        return None
    asof = readings[0].asof
    facts = tuple(season_facts(reading) for reading in readings)
    return SeasonSheet(facts, asof, "sheet", common_span(facts, asof))


def draw_year(
    found: Sequence[YearSeason], *, span: tuple[date, date], today: date
) -> SeasonSheet | None:
    """Seasons of a year under each other, the year itself as the axis: a sheet of them."""
    if not found:
        return None
    facts = tuple(season_facts(one.reading, one.closed_by) for one in found)
    return SeasonSheet(facts, today, "year", span, in_one=True)


def _drawn(facts: Season | list[Season], **how: Any) -> SafeString:
    """The drawing; from the same facts, in the same words, it is drawn once."""
    told = repr((facts, sorted(how.items()))).encode("utf-8", "surrogatepass")
    key = (get_language(), blake2b(told, digest_size=20).digest())
    kept = DRAWN.look_up(key)
    svg = draw(facts, **how) if kept is None else kept.answer
    if kept is None:
        DRAWN.keep(key, None, svg, 2 * len(svg))
    return mark_safe(svg)  # noqa: S308  (the drawing escapes every name itself)
