"""Kinship that nobody saw, in words: what is assumed, what rests on it, and what nobody knows."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from breeding.words.numbers import joined, percent
from breeding.words.who import Names, called

MOST_PAIRS = 3  # pairs that are named in one sentence
DEGREES = {"full": "full siblings", "half": "half siblings", "none": "not related"}


@dataclass(frozen=True)
class AssumedPair:
    """Two founders and what they are held to be; no degree: it follows from what others are."""

    one: Any
    other: Any
    degree: str = ""
    certainty: Fraction = Fraction(1)


def sure_words(certainty: float | Fraction | None) -> str:
    """How sure somebody is.

    >>> sure_words(0.75), sure_words(1)
    ('75 % sure', 'held for certain')
    """
    if certainty is None:
        return ""
    return "held for certain" if certainty == 1 else f"{percent(certainty)} sure"


def pair_words(pair: AssumedPair, names: Names) -> str:
    """What two are held to be.

    >>> from breeding.words.who import Who
    >>> pair_words(AssumedPair(1, 2, "full", Fraction(3, 4)), {1: Who("Mira"), 2: Who("Vega")})
    'Mira and Vega are full siblings (75 % sure)'
    """
    both = f"{called(pair.one, names)} and {called(pair.other, names)}"
    if not pair.degree:
        return f"{both} are kin as far as follows from others"
    return f"{both} are {DEGREES[pair.degree]} ({sure_words(pair.certainty)})"


def resting_words(
    part: Fraction, whole: Fraction, pairs: Sequence[AssumedPair], names: Names
) -> str:
    """How much of F rests on what is assumed; nothing where none of it does.

    >>> from breeding.words.who import Who
    >>> names = {1: Who("Mira"), 2: Who("Vega")}
    >>> full = AssumedPair(1, 2, "full", Fraction(3, 4))
    >>> resting_words(Fraction(1, 16), Fraction(1, 8), [full], names)
    'of which 6.25 % rests on the assumption that Mira and Vega are full siblings (75 % sure)'
    """
    if part <= 0 or not pairs:
        return ""
    much = "all of which" if part >= whole else f"of which {percent(part)}"
    said = [pair_words(one, names) for one in pairs[:MOST_PAIRS]]
    if more := len(pairs) - MOST_PAIRS:
        said += [f"so on for {more} more"] if more > 0 else []
    return f"{much} rests on the assumption that {joined(said)}"


def open_words(pairs: Sequence[tuple[Any, Any]], names: Names, together: bool = True) -> str:
    """Of founders that came together and of whom nobody has said what they are to each other.

    >>> from breeding.words.who import Who
    >>> open_words([(1, 2)], {1: Who("Mira"), 2: Who("Vega")})
    'Mira and Vega came from one seller on one day; nobody knows whether they are kin'
    """
    if not pairs:
        return ""
    everybody = list(dict.fromkeys(key for pair in pairs for key in pair))
    who = joined([called(one, names) for one in everybody[: 2 * MOST_PAIRS]])
    if len(everybody) > 2 * MOST_PAIRS:
        who = f"{len(everybody)} founders, among them {called(everybody[0], names)},"
    if not together:
        return f"nobody knows whether {who} are kin"
    return f"{who} came from one seller on one day; nobody knows whether they are kin"
