"""Kinship that nobody saw, in words: what is assumed, what rests on it, and what nobody knows."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from breeding.words.descent.who import Names, called
from breeding.words.language import message, says, tell
from breeding.words.numbers import joined, percent

MOST_PAIRS = 3  # pairs that are named in one sentence
DEGREES = {
    "full": message("{one} and {other} are full siblings ({sure})"),
    "half": message("{one} and {other} are half siblings ({sure})"),
    "none": message("{one} and {other} are not related ({sure})"),
}


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
    ('75 % sure', 'for certain')
    """
    if certainty is None:
        return ""
    return tell("for certain") if certainty == 1 else tell("{share} sure", share=percent(certainty))


def pair_words(pair: AssumedPair, names: Names) -> str:
    """What two are held to be.

    >>> from breeding.words.descent.who import Who
    >>> pair_words(AssumedPair(1, 2, "full", Fraction(3, 4)), {1: Who("Mira"), 2: Who("Vega")})
    'Mira and Vega are full siblings (75 % sure)'
    """
    both = {"one": called(pair.one, names), "other": called(pair.other, names)}
    if not pair.degree:
        return tell("{one} and {other} are kin as far as follows from others", **both)
    return tell(DEGREES[pair.degree], **both, sure=sure_words(pair.certainty))


def resting_words(
    part: Fraction, whole: Fraction, pairs: Sequence[AssumedPair], names: Names
) -> str:
    """How much of F rests on what is assumed; nothing where none of it does.

    >>> from breeding.words.descent.who import Who
    >>> names = {1: Who("Mira"), 2: Who("Vega")}
    >>> full = AssumedPair(1, 2, "full", Fraction(3, 4))
    >>> resting_words(Fraction(1, 16), Fraction(1, 8), [full], names)
    'of which 6.25 % rests on the assumption that Mira and Vega are full siblings (75 % sure)'
    """
    if part <= 0 or not pairs:
        return ""
    said = [pair_words(one, names) for one in pairs[:MOST_PAIRS]]
    if more := len(pairs) - MOST_PAIRS:
        said += [tell("so on for {number} more", number=more)] if more > 0 else []
    if part >= whole:
        return tell("all of which rests on the assumption that {pairs}", pairs=joined(said))
    return tell(
        "of which {share} rests on the assumption that {pairs}",
        share=percent(part),
        pairs=joined(said),
    )


def open_words(pairs: Sequence[tuple[Any, Any]], names: Names, together: bool = True) -> str:
    """Of founders that came together and of whom nobody has said what they are to each other.

    >>> from breeding.words.descent.who import Who
    >>> open_words([(1, 2)], {1: Who("Mira"), 2: Who("Vega")})
    'Mira and Vega came from one seller on one day; nobody knows whether they are kin'
    """
    if not pairs:
        return ""
    everybody = list(dict.fromkeys(key for pair in pairs for key in pair))
    if len(everybody) > 2 * MOST_PAIRS:
        return _of_many(len(everybody), called(everybody[0], names), together)
    who = joined([called(one, names) for one in everybody])
    if not together:
        return tell("nobody knows whether {animals} are kin", animals=who)
    return tell(
        "{animals} came from one seller on one day; nobody knows whether they are kin", animals=who
    )


def _of_many(number: int, first: str, together: bool) -> str:
    if not together:
        return tell(
            "nobody knows whether {number} founders, among them {animal}, are kin",
            number=number,
            animal=first,
        )
    return tell(
        "{number} founders, among them {animal}, came from one seller on one day; nobody knows "
        "whether they are kin",
        number=number,
        animal=first,
    )


@says
def could_be_words(could_be: float, on_record: float | Fraction) -> str:
    """How close young could be, where founders of one unknown source may be kin.

    >>> could_be_words(0.125, 0)
    'nobody knows whether founders behind the two are kin: F could be up to 12.5 %'
    >>> could_be_words(0.15625, 0.0625), could_be_words(0.25, 0.25)
    ('up to 15.63 % if unknown founders behind the two are kin', '')
    """
    if could_be <= on_record + 1e-12:
        return ""
    if not on_record:
        return tell(
            "nobody knows whether founders behind the two are kin: F could be up to {most}",
            most=percent(could_be),
        )
    return tell("up to {most} if unknown founders behind the two are kin", most=percent(could_be))
