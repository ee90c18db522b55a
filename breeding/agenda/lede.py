"""The day in one sentence."""

from collections.abc import Sequence

from breeding.agenda.lines.line import Line
from breeding.pairings.season.reading import SeasonReading
from breeding.words.numbers import counted
from breeding.words.style import capital


def lede(lines: Sequence[Line], animals: int, readings: Sequence[SeasonReading]) -> str:
    """How much presses, how much will soon, how many animals and pregnant females there are."""
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
    return capital(counted(count, "thing", spells=True))
