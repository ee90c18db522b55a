"""The five points of body condition, in words; their drawings are in a template.

Source: five-point visual scale, 1 thin, 3 ideal, 5 over-fed (Clinical Guide to Fish Medicine);
what to look at is common practice.
"""

from breeding.words.language import message, tell

# Number, word, what to look at.
CONDITIONS = (
    (
        1,
        message("thin"),
        message("a ridge of bone along the back, hollow behind the eyes, tail base thin"),
    ),
    (
        2,
        message("lean"),
        message("the back falls off beside the ridge, a little hollow behind the eyes"),
    ),
    (3, message("ideal"), message("the back is even, the tail base round with muscle")),
    (4, message("plump"), message("the back is domed, the tail base broad")),
    (
        5,
        message("over-fed"),
        message("the back is humped, folds at the tail base and beside the eyes"),
    ),
)


def conditions_said() -> list[tuple[int, str, str]]:
    """The same in the language of whoever reads it."""
    return [(number, tell(word), tell(look)) for number, word, look in CONDITIONS]
