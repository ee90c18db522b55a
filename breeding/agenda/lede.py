"""The day in one sentence."""

from collections.abc import Sequence

from breeding.agenda.lines.line import Line
from breeding.pairings.season.reading import SeasonReading
from breeding.words.language import tell, tell_many
from breeding.words.numbers import spelled
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
    return f"{_pressing_words(now, soon)} {_here_words(animals, pregnant, perhaps)}"


def _pressing_words(now: int, soon: int) -> str:
    """How much is to be done now and soon.

    >>> _pressing_words(2, 1), _pressing_words(0, 0)
    ('Two things now, one thing soon.', 'Nothing is pressing.')
    """
    said = {"now": capital(_things(now)), "soon": _things(soon)}
    if now and soon:
        return tell("{now} now, {soon} soon.", **said)
    if now:
        return tell("{now} now.", **said)
    if soon:
        return tell("Nothing is pressing, {soon} soon.", **said)
    return tell("Nothing is pressing.")


def _here_words(animals: int, pregnant: int, perhaps: Sequence[float]) -> str:
    """How many are here, pregnant, or pregnant perhaps; by their chances: 14 at 41 % are six.

    >>> _here_words(40, 1, [])
    '40 animals here, 1 female expected to be pregnant.'
    >>> _here_words(1, 2, [0.3])
    '1 animal here, 2 females expected to be pregnant, and perhaps 1 more.'
    >>> _here_words(40, 1, [0.41] * 14)[38:]
    'be pregnant, and perhaps 14 more: by their chances, about 6 of those.'
    >>> _here_words(0, 0, [])
    'No animal is here.'
    """
    if not animals and not pregnant and not perhaps:
        return tell("No animal is here.")
    said = {
        "animals": tell_many("{number} animal", "{number} animals", animals),
        "females": tell_many("{number} female", "{number} females", pregnant),
        "more": len(perhaps),
        "about": round(sum(perhaps)),
    }
    if not perhaps:
        return tell("{animals} here, {females} expected to be pregnant.", **said)
    if len(perhaps) == 1 or not said["about"]:
        return tell(
            "{animals} here, {females} expected to be pregnant, and perhaps {more} more.", **said
        )
    return tell(
        "{animals} here, {females} expected to be pregnant, and perhaps {more} more: by their "
        "chances, about {about} of those.",
        **said,
    )


def _things(number: int) -> str:
    return tell_many("{count} thing", "{count} things", number, count=spelled(number))
