"""What is drawn of a season, and the same facts in sentences; pure."""

import datetime
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from breeding.pairings.season.drawn.pen import Distribution, likely_days
from breeding.words.days import long_day
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import joined

Date = datetime.date
SayDay = Callable[[Date], str]

NOTHING: Distribution = ((), ())


@dataclass(frozen=True)
class Company:
    """Days with a male, or several; both ends counted, `last` None while it goes on."""

    male: str
    first: Date
    last: Date | None = None


@dataclass(frozen=True)
class Mark:
    """Something seen on a day.

    The weightiest are labelled beside the line, of equals the latest; the others are listed
    below. The strength of its kind is a good weight: a seen mating goes before bite marks.
    """

    on: Date
    label: str
    weight: float = 0.0


@dataclass(frozen=True)
class Season:
    """What is drawn of one female; every part may be empty.

    apart: stretches without a male (from, to), to None while it goes on. mating, due: days and
    their shares. window: the announced due window, most_even its even guess. state: a few words
    beside the name ("pregnant, 93 %"). chance, 0 to 1: how dark the possible days are.
    more_signs: seen as well, and neither drawn nor named, for there are too many. more_males: with
    her as well, and not drawn.
    """

    name: str
    state: str = ""
    company: Sequence[Company] = ()
    apart: Sequence[tuple[Date, Date | None]] = ()
    signs: Sequence[Mark] = ()
    mating: Distribution = NOTHING
    window: tuple[Date, Date] | None = None
    most_even: Date | None = None
    due: Distribution = NOTHING
    births: Sequence[Date] = ()
    separations: Sequence[Date] = ()
    chance: float = 1.0
    more_signs: int = 0
    more_males: int = 0


def describe(season: Season, asof: Date, format_date: SayDay = long_day) -> str:
    """The same facts as the drawing, in sentences."""
    said = [f"{season.name}, {season.state}." if season.state else f"{season.name}."]
    said += _described_company(season, format_date)
    if season.signs:
        said.append(tell("Seen: {signs}.", signs="; ".join(grouped(season.signs, format_date))))
    if season.more_signs:
        said.append(
            tell_many(
                "Seen beside these: {number} sign.",
                "Seen beside these: {number} signs.",
                season.more_signs,
            )
        )
    days = likely_days(season.mating, 0.05)
    if len(days) > 1:
        said.append(
            tell(
                "Possible mating days {first} to {last}, most likely {likely}.",
                first=format_date(days[0]),
                last=format_date(days[-1]),
                likely=format_date(_peak(season.mating)),
            )
        )
    elif days:
        said.append(tell("Mated on {day}.", day=format_date(days[0])))
    if season.window:
        said.append(_described_window(season, season.window, asof, format_date))
    said.extend(tell("Gave birth on {day}.", day=format_date(on)) for on in season.births)
    said.append(tell("Today is {day}.", day=format_date(asof)))
    return " ".join(said)


def _described_company(season: Season, format_date: SayDay) -> list[str]:
    said = []
    for stay in season.company:
        first, last = format_date(stay.first), stay.last and format_date(stay.last)
        if last is None:
            said.append(tell("With {male} since {day}.", male=stay.male, day=first))
        else:
            said.append(
                tell("With {male} from {first} to {last}.", male=stay.male, first=first, last=last)
            )
    if season.more_males:
        said.append(further_words(season.more_males))
    for began, ended in season.apart:
        if ended:
            days = {"first": format_date(began), "last": format_date(ended)}
            said.append(tell("Apart from {first} to {last}.", **days))
        else:
            said.append(tell("Apart since {day}.", day=format_date(began)))
    if not season.apart:
        said += [tell("Separated on {day}.", day=format_date(on)) for on in season.separations]
    return said


def further_words(males: int) -> str:
    """Of company that is not drawn by itself."""
    return tell_many("With {number} male beside these.", "With {number} males beside these.", males)


WINDOWS = {  # with its middle date, and without
    "was": (
        message("Was due {first} to {last}, middle date {middle}."),
        message("Was due {first} to {last}."),
    ),
    "would": (
        message("Would have been due {first} to {last}, middle date {middle}."),
        message("Would have been due {first} to {last}."),
    ),
    "is": (
        message("Due {first} to {last}, middle date {middle}."),
        message("Due {first} to {last}."),
    ),
}


def _described_window(
    season: Season, window: tuple[Date, Date], asof: Date, format_date: SayDay
) -> str:
    with_middle, without = WINDOWS[was_due(season, window[1], asof)]
    days = {"first": format_date(window[0]), "last": format_date(window[1])}
    if season.most_even is None:
        return tell(without, **days)
    return tell(with_middle, **days, middle=format_date(season.most_even))


def was_due(season: Season, last: Date, asof: Date) -> str:
    """How the window is spoken of: gone by, still ahead, or ahead for one that has given birth."""
    if asof > last:
        return "was"
    return "would" if season.births else "is"


def grouped(signs: Iterable[Mark], say: SayDay) -> list[str]:
    """Signs of a kind said once with their days: "fresh bite marks 12 Nov and 19 Nov"."""
    by_label: dict[str, list[Date]] = {}
    for mark in sorted(signs, key=lambda mark: mark.on):
        by_label.setdefault(mark.label, []).append(mark.on)
    return [f"{label} {joined([say(on) for on in days])}" for label, days in by_label.items()]


def _peak(distribution: Distribution) -> Date:
    days, mass = distribution
    return max(zip(mass, days, strict=True), key=lambda pair: pair[0])[1]
