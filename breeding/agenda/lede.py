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
    perhaps = [
        one.estimate.announced_chance
        for one in readings
        if one.rules.worth_settling_chance
        <= one.estimate.announced_chance
        < one.rules.worth_planning_chance
    ]
    first = "Nothing is pressing" if not now else f"{_things(now)} now"
    second = f", {_things(soon).lower()} soon" if soon else ""
    return (
        f"{first}{second}. {counted(animals, 'animal')} here, {counted(pregnant, 'female')} "
        f"expected to be pregnant{_perhaps_words(perhaps)}."
    )


def _perhaps_words(chances: Sequence[float]) -> str:
    """How many are pregnant perhaps, and how many of them by their chances: 14 at 41 % are six.

    >>> _perhaps_words([0.41] * 14), _perhaps_words([0.3]), _perhaps_words([])
    (', 14 more perhaps, by their chances about 6 of them', ', 1 more perhaps', '')
    """
    if not chances:
        return ""
    about = round(sum(chances))
    of_them = f", by their chances about {about} of them" if len(chances) > 1 and about else ""
    return f", {len(chances)} more perhaps{of_them}"


def _things(count: int) -> str:
    return capital(counted(count, "thing", spells=True))
