"""What a common ancestor is to a parent, and by how many lines of descent."""

from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import spelled
from pedigree import CommonAncestor

ONE = {  # by how many generations lie between, and sex
    (1, "M"): message("the sire"),
    (1, "F"): message("the dam"),
    (1, "U"): message("the parent"),
    (2, "M"): message("a grandsire"),
    (2, "F"): message("a granddam"),
    (2, "U"): message("a grandparent"),
    (3, "M"): message("a great-grandsire"),
    (3, "F"): message("a great-granddam"),
    (3, "U"): message("a great-grandparent"),
}
SEVERAL = {
    1: message("the parents"),
    2: message("grandparents"),
    3: message("great-grandparents"),
}


def kinship(steps: int, sex: str, number: int = 1) -> str:
    """What one or several so many generations back are.

    >>> kinship(1, "M"), kinship(2, "F"), kinship(3, "U", 2), kinship(4, "M")
    ('the sire', 'a granddam', 'great-grandparents', 'an ancestor four generations back')
    """
    if steps > 3 and number == 1:
        return tell("an ancestor {count} generations back", count=spelled(steps))
    if steps > 3:
        return tell("ancestors {count} generations back", count=spelled(steps))
    return tell(ONE[steps, sex] if number == 1 else SEVERAL[steps])


def line_words(one: CommonAncestor, number: int, *, is_certain: bool) -> str:
    """How many lines there are and how long, when it is more than the one that was said."""
    if one.path_count == 1:
        return ""
    lengths = sorted(sum(steps) for steps in one.paths)
    return tell(
        _lines(for_each=number > 1, is_certain=is_certain),
        number=spelled(one.path_count),
        steps=_steps(lengths[0], lengths[-1]),
    )


def _steps(least: int, most: int) -> str:
    if least == most:
        return tell_many("{count} step", "{count} steps", most, count=spelled(most))
    return tell_many(
        "{least} to {count} step",
        "{least} to {count} steps",
        most,
        least=spelled(least),
        count=spelled(most),
    )


def _lines(*, for_each: bool, is_certain: bool) -> str:
    if is_certain and for_each:
        return message("by {number} lines of {steps} in all for each")
    if is_certain:
        return message("by {number} lines of {steps} in all")
    if for_each:
        return message("by {number} possible lines of {steps} in all for each")
    return message("by {number} possible lines of {steps} in all")
