"""The lines of females in season: separating, nursery, watching, past her window, the window."""

import datetime
from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Act, Line, write_line
from breeding.agenda.lines.once import written_once
from breeding.gestation.estimate import Points
from breeding.pairings.season.reading import SeasonReading, Stretch, seen_on
from breeding.words.chances import chance
from breeding.words.days import long_day, span_words
from breeding.words.language import tell, tell_many
from breeding.words.numbers import some
from breeding.words.style import capital

SEPARATE_NOW = KINDS["separate_now"]
LONG_WITHOUT_BIRTH = KINDS["long_without_birth"]
DUE_WINDOW = KINDS["due_window"]
MOST_NAMED = 6
MOST_APART = 6  # buttons for the males with her; one leads to all of them
SEPARATIONS = (SEPARATE_NOW, KINDS["separate_bred"], KINDS["separate_by"])


def season_lines(gathered: Gathered) -> Iterator[Line]:
    """What each female's season asks for."""
    yield from written_once(
        "seasons", gathered, gathered.seasons, lambda one: _lines_of(one, gathered.today)
    )


def _lines_of(reading: SeasonReading, today: datetime.date) -> Iterator[Line]:
    males = some([stretch.male.name for stretch in reading.with_now], MOST_NAMED)
    doubt = _doubt(reading)
    for action in reading.actions:
        kind = KINDS[action.kind]
        # The season's first day is in the mark, so that next year's line is a new one. Harm is
        # marked by its latest sighting: a fresh wound is asked about again, whatever was
        # answered.
        mark = _latest_harm(reading) if kind is SEPARATE_NOW else _first_day(reading)
        yield write_line(
            kind,
            mark=f"{reading.female.pk}:{mark}",
            series_mark=_series_mark(reading),
            on=action.on,
            today=today,
            who=reading.female.name,
            why=action.reason,
            animal=reading.female,
            facts={
                "female_id": reading.female.pk,
                "from_males": tell(" from {males}", males=males) if males else "",
            },
            doubt=doubt,
            acts=_apart_from_each(reading) if kind in SEPARATIONS else (),
        )


def window_lines(gathered: Gathered) -> Iterator[Line]:
    """The announced due windows as spans: for the calendar, where a daily watch is one day only."""
    for reading in gathered.seasons:
        est = reading.estimate
        planned = est.announced_chance >= reading.rules.worth_planning_chance
        due = _due_now(reading)
        if est.announced is None or due is None or not planned:
            continue
        if any(action.kind == LONG_WITHOUT_BIRTH.key for action in reading.actions):
            continue  # no longer from the mating first thought of
        yield write_line(
            DUE_WINDOW,
            mark=f"{reading.female.pk}:{_first_day(reading)}",
            series_mark=_series_mark(reading),
            on=est.announced.p05,
            until=max(est.announced.p95, due.p95),
            today=gathered.today,
            who=reading.female.name,
            why=" ".join(f"{capital(one)}." for one in reading.reasons[:3]),
            animal=reading.female,
            facts={
                "middle_date": long_day(due.p50),
                "chance": chance(est.chance),
            },
            doubt=_doubt(reading),
        )


def _first_day(reading: SeasonReading) -> str:
    return reading.since.isoformat() if reading.since else ""


def _series_mark(reading: SeasonReading) -> str:
    """The season is named by the outcome before it: an older sighting entered late changes none."""
    season = reading.last_outcome.pk if reading.last_outcome else 0
    return f"{reading.female.pk}:{season}"


def _due_now(reading: SeasonReading) -> Points | None:
    """The window that is spoken of, in titles and texts alike: past the announced one, the rest."""
    est = reading.estimate
    return est.due if est.lateness >= reading.rules.overdue_lateness else est.announced


def _doubt(reading: SeasonReading) -> str:
    """How sure the season is: the chance, the window and the most even guess."""
    est, due = reading.estimate, _due_now(reading)
    if due is None or est.announced_chance < reading.rules.worth_settling_chance:
        return ""
    return tell(
        "Chance that she is pregnant: {chance}. If she is, due {window} (9 times "
        "in 10), middle date {day}.",
        chance=chance(est.chance),
        window=span_words(due.p05, due.p95, long_day),
        day=long_day(due.p50),
    )


def _latest_harm(reading: SeasonReading) -> str:
    """The harm in this company that was written down last: a sighting, and the last meal left."""
    harmful = [
        one.pk
        for one in reading.sightings
        if reading.together_since is not None and seen_on(one) >= reading.together_since
        if one.kind.is_off_food or (one.severity or 0) >= reading.rules.severity_limit
    ]
    left = [one.mark for one in reading.appetite.refusals if not one.is_judged]
    meal = f"-{left[-1]}" if left and reading.off_food else ""
    return f"{max(harmful, default=0)}{meal}"


def _apart_from_each(reading: SeasonReading) -> tuple[Act, ...]:
    """A button for each male with her, those of pairings first; of many some, and one to all."""
    males = sorted(reading.with_now, key=lambda stretch: stretch.pairing is None)
    if len(males) <= MOST_APART:
        return tuple(_apart(stretch) for stretch in males)
    words = tell_many("All {number} male with her", "All {number} males with her", len(males))
    more = Act(words, "pairings:female", reading.female.pk)
    return (*(_apart(stretch) for stretch in males[:MOST_APART]), more)


def _apart(stretch: Stretch) -> Act:
    """Ends the pairing; a male that only shares her water is moved."""
    if stretch.pairing is None:
        return Act(tell("Move {who}", who=stretch.male.name), "housing:move", stretch.male.pk)
    return Act(
        tell("{male} is apart", male=stretch.male.name), "pairings:separate", stretch.pairing.pk
    )
