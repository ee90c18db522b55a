"""Names that stay one line and turn nothing around: of animals, tanks, people and all else."""

import re
import unicodedata

from django.core.exceptions import ValidationError

from breeding.words.language import tell

# What makes a reader draw the rest of a row from the other end (Unicode Annex 9), whoever wrote it.
TURNS = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
# Ends of lines, tabs and what steers a device, and is no letter.
BREAKS = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029]")
BLANKS = "\u115f\u1160\u2800\u3164\uffa0"  # letters and signs by their kind that draw nothing


def validate_name(typed: str) -> None:
    """Raise ValidationError for what is not one line of letters that can be seen.

    >>> validate_name("Mira de l'Étang"), validate_name("ميرا")
    (None, None)
    """
    if BREAKS.search(typed):
        raise ValidationError(
            tell(
                "“{name}” was typed with a line break or a tab in it; a name is one line of "
                "letters. Type it without.",
                name=plain_name(typed),
            )
        )
    if TURNS.search(typed):
        raise ValidationError(
            tell(
                "“{name}” holds a hidden character that turns the writing around; type the name "
                "without it, or type it anew.",
                name=plain_name(typed),
            )
        )
    if typed.strip() and not has_something_to_see(typed):
        raise ValidationError(tell("Nothing of this name can be seen; type letters or digits."))


def plain_name(kept: str) -> str:
    """A name in one line that turns nothing around, as it is drawn wherever it came from.

    >>> plain_name("Mira\\n\\u202eageV")
    'Mira ageV'
    """
    return TURNS.sub("", BREAKS.sub(" ", kept))


def has_something_to_see(typed: str) -> bool:
    """Whether a letter, a digit or a sign is in it, not only spaces and what has no width.

    >>> has_something_to_see("\\u200b\\u2060"), has_something_to_see("7")
    (False, True)
    """
    return any(unicodedata.category(one)[0] in "LNPS" and one not in BLANKS for one in typed)
