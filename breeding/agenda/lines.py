"""The lines of the day: what is due, for whom and why, computed from the facts."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from django.urls import reverse

from breeding.animals.models import Animal
from breeding.gestation.actions import Action
from breeding.gestation.reasons import span_words
from breeding.litters.models import Litter
from breeding.litters.queries import PupReading
from breeding.pairings.season.disagreements import Disagreement
from breeding.pairings.season.reading import SeasonReading, Stretch, seen_on
from breeding.planning.models import PlannedPairing
from breeding.program.formats import (
    chance,
    counted,
    joined,
    long_day,
    near_day,
    percent,
    plain_day,
)

SOON_DAYS = 14  # how far ahead the day looks
FAR_DAYS = 3660  # how far ahead the calendar looks: everything
WATCH_SOON_DAYS = 3  # a watch that has not begun is not work yet; it is named just before


@dataclass(frozen=True)
class Act:
    """A button of a line: the route it leads to, and what it says."""

    words: str
    route: str
    argument: int | tuple[str, int] | None = None
    query: str = ""

    @property
    def address(self) -> str:
        given = self.argument if isinstance(self.argument, tuple) else (self.argument,)
        return reverse(self.route, args=[one for one in given if one is not None]) + self.query


@dataclass(frozen=True)
class Line:
    """One thing to do. `key` finds the keeper's answer again; it changes with what it is about.

    series: stays the same for one female, season and kind (one litter, one reservation), however
    the estimate moves and whatever is entered late. until: the last day, for a span.
    doubt: how sure it is, as a sentence. moves_daily: `on` is only the day of reckoning.
    asked_again_on: the day to which the keeper had put it off.
    """

    key: str
    on: datetime.date
    urgency: str  # "now", "soon" or "later"
    who: str
    what: str
    why: str
    animal: Animal | None = None
    address_of: str = ""
    acts: Sequence[Act] = field(default_factory=tuple)
    series: str = ""
    until: datetime.date | None = None
    doubt: str = ""
    moves_daily: bool = False
    asked_again_on: datetime.date | None = None

    @property
    def kind(self) -> str:
        return self.key.partition(":")[0]


HARM_FIRST = {"separate_now": 0, "overdue": 1, "pups_on_the_floor": 2, "separate_by": 3}


def season_lines(
    reading: SeasonReading, today: datetime.date, *, ahead_days: int = SOON_DAYS
) -> list[Line]:
    """What one female's season asks for, up to so many days ahead."""
    lines = []
    doubt = _doubt(reading)
    for action in reading.actions:
        ahead = ahead_days
        if action.kind == "watch_from" and ahead_days == SOON_DAYS:
            ahead = WATCH_SOON_DAYS
        if (action.on - today).days > ahead:
            continue
        # The season's first day is in the key, so that next year's line is a new one. Harm is
        # keyed by its latest sighting: a fresh wound is asked about again, whatever was answered.
        season = reading.since.isoformat() if reading.since else ""
        mark = _latest_harm(reading) if action.kind == "separate_now" else season
        lines.append(
            Line(
                key=f"{action.kind}:{reading.female.pk}:{mark}",
                on=action.on,
                urgency=_urgency(action, today),
                who=reading.female.name,
                what=_what(action, reading),
                why=action.reason,
                animal=reading.female,
                address_of="pairings:female",
                acts=_acts(action, reading),
                series=_series(action.kind, reading),
                doubt=doubt,
                moves_daily=action.kind == "separate_bred" and action.on == today,
            )
        )
    return lines


def window_lines(reading: SeasonReading) -> list[Line]:
    """The announced due window as a span: for the calendar, where "watch daily" is one day only."""
    est = reading.estimate
    planned = est.announced_chance >= reading.rules.worth_planning_chance
    if est.announced is None or not planned:
        return []
    if any(action.kind == "long_without_birth" for action in reading.actions):
        return []  # no longer from the mating first thought of
    season = reading.since.isoformat() if reading.since else ""
    return [
        Line(
            key=f"due_window:{reading.female.pk}:{season}",
            on=est.announced.p05,
            until=est.announced.p95,
            urgency="soon",
            who=reading.female.name,
            what=f"due, most evenly {long_day(est.announced.p50)} (chance {chance(est.chance)})",
            why=" ".join(f"{one[0].upper()}{one[1:]}." for one in reading.reasons[:3]),
            animal=reading.female,
            address_of="pairings:female",
            series=_series("due_window", reading),
            doubt=_doubt(reading),
        )
    ]


def _series(kind: str, reading: SeasonReading) -> str:
    """The season is named by the outcome before it: an older sighting entered late changes none."""
    season = reading.last_outcome.pk if reading.last_outcome else 0
    return f"{kind}:{reading.female.pk}:{season}"


def _doubt(reading: SeasonReading) -> str:
    """How sure the season is: the chance, the window and the most even guess."""
    est = reading.estimate
    late = est.lateness >= reading.rules.overdue_lateness
    due = est.due if late else est.announced
    if due is None or est.announced_chance < reading.rules.worth_settling_chance:
        return ""
    return (
        f"Chance that she is pregnant: {chance(est.chance)}. If she is, due "
        f"{span_words(due.p05, due.p95, long_day)} (9 times in 10), most evenly "
        f"{long_day(due.p50)}."
    )


def _latest_harm(reading: SeasonReading) -> str:
    """The key of the harm in this company that was written down last."""
    harmful = [
        one.pk
        for one in reading.sightings
        if reading.together_since is not None and seen_on(one) >= reading.together_since
        if one.kind.is_off_food or (one.severity or 0) >= reading.rules.severity_limit
    ]
    return str(max(harmful, default=0))


def _urgency(action: Action, today: datetime.date) -> str:
    if action.kind in ("watch_from", "settle", "long_without_birth"):
        return "soon"
    if action.kind == "separate_bred" or action.on > today:
        return "soon"
    return "now"


def _what(action: Action, reading: SeasonReading) -> str:
    words = action.heading
    if action.kind.startswith("separate") and reading.with_now:
        males = joined([stretch.male.name for stretch in reading.with_now])
        return words.replace("separate", f"separate from {males}", 1)
    return words


def _acts(action: Action, reading: SeasonReading) -> tuple[Act, ...]:
    female = reading.female.pk
    birth = Act("She gave birth", "litters:new", None, f"?dam={female}")
    if action.kind.startswith("separate"):
        return tuple(_apart(stretch) for stretch in reading.with_now)
    if action.kind in ("overdue", "long_without_birth"):
        return (birth, Act("Not pregnant, lost", "pairings:outcome", female))
    if action.kind == "watch_from":
        return (birth, Act("Log a sighting", "pairings:log", None, f"?female={female}"))
    if action.kind == "settle":
        return (Act("Write down a scan", "pairings:scan", female),)
    return (Act("Make it ready", "pairings:nursery", female), Act("The tanks", "housing:index"))


def _apart(stretch: Stretch) -> Act:
    """Ends the pairing; a male that only shares her water is moved."""
    if stretch.pairing is None:
        return Act(f"Move {stretch.male.name}", "housing:move", stretch.male.pk)
    return Act(f"{stretch.male.name} is apart", "pairings:separate", stretch.pairing.pk)


def litter_lines(
    litters: Iterable[tuple[Litter, Sequence[PupReading]]], today: datetime.date
) -> list[Line]:
    """Fresh litters to look after, and litters with pups that can leave."""
    lines = []
    for litter, pups in litters:
        age = (today - litter.born_on).days
        here = [one for one in pups if one.pup.animal and one.pup.animal.is_here]
        if not here:
            continue
        if age <= 7:
            lines.append(
                Line(
                    key=f"pups_on_the_floor:{litter.pk}",
                    on=litter.born_on,
                    urgency="now",
                    who=f"Litter {litter.code}",
                    what="pups on the floor",
                    why=f"{counted(len(here), 'pup')} of {litter.dam.name}, "
                    f"{counted(age, 'day')} old. Males apart from dam and pups; first food from "
                    "about the second day; measure them.",
                    animal=litter.dam,
                    address_of="litters:detail",
                    acts=(Act("Open the litter", "litters:detail", litter.pk),),
                    series=f"pups_on_the_floor:{litter.pk}",
                )
            )
        ready = [one for one in here if one.is_ready]
        if ready:
            names = joined([one.pup.animal.name for one in ready if one.pup.animal][:6])
            more = f" and {len(ready) - 6} more" if len(ready) > 6 else ""
            lines.append(
                Line(
                    key=f"ready_to_leave:{litter.pk}:{len(ready)}",
                    on=today,
                    urgency="later",
                    who=f"Litter {litter.code}",
                    what="decide who stays",
                    why=f"{len(ready)} of {len(here)} pups are old and large enough to leave: "
                    f"{names}{more}.",
                    animal=ready[0].pup.animal,
                    address_of="litters:detail",
                    acts=(Act("Open the litter", "litters:detail", litter.pk),),
                    series=f"ready_to_leave:{litter.pk}",
                    moves_daily=True,
                )
            )
    return lines


def planned_lines(
    planned: Iterable[PlannedPairing], today: datetime.date, *, ahead_days: int = SOON_DAYS
) -> list[Line]:
    """Planned pairings whose day is near or has come."""
    return [
        Line(
            key=f"planned:{one.pk}",
            on=one.not_before,
            urgency="soon",
            who=one.female.name,
            what=f"put together with {one.male.name}",
            why=f"Planned: they can be together from {plain_day(one.not_before)}, expected F "
            f"{percent(one.inbreeding_expected)}.{f' {one.note}' if one.note else ''} "
            "Look at both animals first.",
            animal=one.female,
            address_of="animals:detail",
            acts=(
                Act(
                    "Put them together",
                    "pairings:new",
                    None,
                    f"?female={one.female_id}&male={one.male_id}",
                ),
                Act("Give it up", "program:withdraw", ("planned-pairing", one.pk)),
            ),
            series=f"planned:{one.pk}",
        )
        for one in planned
        if (one.not_before - today).days <= ahead_days
    ]


def disagreement_lines(found: Iterable[Disagreement]) -> list[Line]:
    """Where tanks and pairings say different things of who is together."""
    return [
        Line(
            key=one.key,
            on=one.since,
            urgency="soon",
            who=one.female.name,
            what=f"and {joined([male.name for male in one.males])}: the records disagree",
            why=one.words,
            animal=one.female,
            address_of="pairings:female",
            acts=tuple(Act(*way) for way in one.ways),
            series=one.key,
        )
        for one in found
    ]


def in_order(lines: Iterable[Line]) -> list[Line]:
    """Now before soon before later; an animal in harm's way first, then the oldest."""
    rank = {"now": 0, "soon": 1, "later": 2}
    return sorted(
        lines,
        key=lambda line: (
            rank[line.urgency],
            HARM_FIRST.get(line.kind, len(HARM_FIRST)),
            line.on,
            line.who,
        ),
    )


def lede(lines: Sequence[Line], animals: int, readings: Sequence[SeasonReading]) -> str:
    """The day in one sentence."""
    now = sum(1 for line in lines if line.urgency == "now")
    soon = sum(1 for line in lines if line.urgency == "soon")
    pregnant = sum(
        1 for one in readings if one.estimate.announced_chance >= one.rules.worth_planning_chance
    )
    first = "Nothing is pressing" if not now else f"{_things(now)} now"
    second = f", {_things(soon).lower()} soon" if soon else ""
    return (
        f"{first}{second}. {counted(animals, 'animal')} here, {counted(pregnant, 'female')} "
        "expected to be pregnant."
    )


def _things(count: int) -> str:
    words = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten")
    spelled = words[count] if count < len(words) else str(count)
    return f"{spelled} thing{'' if count == 1 else 's'}"


def when_words(line: Line, today: datetime.date) -> str:
    """What stands in the margin."""
    if line.urgency == "later":
        return "when you decide"
    when = near_day(line.on, today)
    if line.kind == "watch_from":
        return f"daily since {when}" if line.on <= today else f"daily from {when}"
    if line.on < today:
        return f"since {when}"
    if line.kind == "planned":
        return "from now on" if line.on == today else f"from {when}"
    return "now" if line.on == today else f"by {when}"
