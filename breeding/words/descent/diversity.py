"""What a litter does to gene diversity, in words: rounded first, so that a reader can subtract."""

import math
from fractions import Fraction

from breeding.words.language import tell
from breeding.words.numbers import figure


def diversity_figure(share: float) -> str:
    """A share of one in per cent, always with two places, half rounded up.

    >>> diversity_figure(0.94531), diversity_figure(0.944)
    ('94.53', '94.40')
    """
    return figure(_hundredths(share) / 100, 2)


def points_between(before: float, after: float) -> str:
    """How far two shares are apart in points of a hundred: the difference of what is shown.

    >>> points_between(0.945349, 0.944951), diversity_figure(0.945349), diversity_figure(0.944951)
    ('0.03', '94.53', '94.50')
    """
    return figure(abs(_moved(before, after)) / 100, 2)


def litter_words(before: float, after: float, number: int) -> str:
    """What a litter of so many does to the program.

    >>> litter_words(0.9453, 0.9449, 6)
    "A litter of 6 lowers the program's gene diversity by 0.04 points (94.53 to 94.49 %)."
    """
    values = {
        "number": number,
        "points": points_between(before, after),
        "before": diversity_figure(before),
        "after": diversity_figure(after),
    }
    moved = _moved(before, after)
    if not moved:
        return tell(
            "A litter of {number} leaves the program's gene diversity as it is ({before} %).",
            **values,
        )
    if moved > 0:
        return tell(
            "A litter of {number} raises the program's gene diversity by {points} points "
            "({before} to {after} %).",
            **values,
        )
    return tell(
        "A litter of {number} lowers the program's gene diversity by {points} points "
        "({before} to {after} %).",
        **values,
    )


def cost_words(before: float, after: float) -> str:
    """The same in short, for a table whose heading says how many young.

    >>> cost_words(0.9453, 0.9449), cost_words(0.9453, 0.9453)
    ('costs 0.04 points of gene diversity (94.53 to 94.49 %)', 'leaves gene diversity at 94.53 %')
    """
    values = {
        "points": points_between(before, after),
        "before": diversity_figure(before),
        "after": diversity_figure(after),
    }
    moved = _moved(before, after)
    if not moved:
        return tell("leaves gene diversity at {before} %", **values)
    if moved > 0:
        return tell("adds {points} points of gene diversity ({before} to {after} %)", **values)
    return tell("costs {points} points of gene diversity ({before} to {after} %)", **values)


def compared_words(before: float, after: float, *, best: float, usual: float, number: int) -> str:
    """How that stands beside all the pairs that may be made, itself among them.

    best, usual: the program after a litter of the best of these pairs, and of the middle one.

    >>> compared_words(0.9453, 0.9449, best=0.9449, usual=0.9440, number=3)
    'none of the 3 possible pairs does better'
    >>> compared_words(0.9453, 0.9440, best=0.9449, usual=0.9449, number=3)
    'the usual one of the 3 possible pairs costs 0.04'
    """
    if number < 2:
        return ""
    if _hundredths(best) <= _hundredths(after):
        return tell("none of the {number} possible pairs does better", number=number)
    values = {"number": number, "points": points_between(before, usual)}
    if _hundredths(usual) == _hundredths(after):
        return tell("as the usual one of the {number} possible pairs", **values)
    if _moved(before, usual) > 0:
        return tell("the usual one of the {number} possible pairs adds {points}", **values)
    return tell("the usual one of the {number} possible pairs costs {points}", **values)


def measure_words(share: float, *, young_left_out: bool = False) -> str:
    """What such points are worth: how much less there would be with one unrelated animal fewer.

    Unrelated animals with equal shares, n of them, keep 1 - 1 / (2 n) of gene diversity, so that
    a share is worth n = 1 / (2 (1 - share)) of them: founder genome equivalents by mean kinship
    (Lacy 1989, Zoo Biol 8:111-123). Empty where there are fewer than two to take one from, and
    where nothing is lost at all. young_left_out: the share is that without some young of whom is
    still to be decided.

    >>> measure_words(0.9453)
    'For measure: all the living hold as much variety as 9.1 unrelated animals. One of these fewer would be 0.67 points less.'
    >>> measure_words(0.75), measure_words(0.7)
    ('For measure: all the living hold as much variety as 2 unrelated animals. One of these fewer would be 25.00 points less.', '')
    """  # noqa: E501
    if share >= 1:
        return ""
    unrelated = 1 / (2 * (1 - share))
    if unrelated < 2 - 1e-9:
        return ""
    values = {
        "number": figure(unrelated, 1, trimmed=True),
        "points": points_between(share, 1 - 1 / (2 * (unrelated - 1))),
    }
    if young_left_out:
        return tell(
            "For measure: all the living without these young hold as much variety as {number} "
            "unrelated animals. One of these fewer would be {points} points less.",
            **values,
        )
    return tell(
        "For measure: all the living hold as much variety as {number} unrelated animals. One of "
        "these fewer would be {points} points less.",
        **values,
    )


def _moved(before: float, after: float) -> int:
    """Hundredths of a per cent from the one as it is shown to the other."""
    return _hundredths(after) - _hundredths(before)


def _hundredths(share: float) -> int:
    return math.floor(Fraction(share) * 10_000 + Fraction(1, 2))
