"""Numbers of microchips: as they are typed, scanned and kept.

ISO 11784: 15 digits, of which three name a country (001 to 899) or a manufacturer (900 to 998) and
twelve count up to 2 to the 38th. That the chip is an animal's is a bit of it which is not printed.
Chips from before have nine or ten letters and figures, and are kept as they are.
"""

import re
from typing import TYPE_CHECKING, Any

from django.core.exceptions import ValidationError
from django.db import models

from breeding.words.language import tell

if TYPE_CHECKING:
    ChipText = models.CharField[str, str]
else:
    ChipText = models.CharField

ISO_LETTERS, OLDER_LETTERS = 15, (9, 10)
HIGHEST = 2**38 - 1  # 274877906943
OF_TESTS = 999
_GAPS = re.compile(r"[\s.\-/]+")


def plain_chip(typed: str) -> str:
    """Without what a reader or a label puts between its figures.

    >>> plain_chip("040 098100-111917"), plain_chip(" 4a5b6c7d8e ")
    ('040098100111917', '4A5B6C7D8E')
    """
    return _GAPS.sub("", typed).upper()


def is_iso(chip: str) -> bool:
    """Whether it is one of ISO 11784; otherwise it is from before.

    >>> is_iso("040098100111917"), is_iso("4A5B6C7D8E")
    (True, False)
    """
    return len(chip) == ISO_LETTERS


def shown_chip(chip: str) -> str:
    """As it is read: the country or manufacturer apart from the number.

    >>> shown_chip("040098100111917"), shown_chip("4A5B6C7D8E")
    ('040 098100111917', '4A5B6C7D8E')
    """
    return f"{chip[:3]} {chip[3:]}" if is_iso(chip) else chip


def problem_of(chip: str) -> str:
    """Why no chip can have this number; empty when one can.

    >>> problem_of("040098100111917"), problem_of("123456789"), problem_of("")
    ('', '', '')
    >>> problem_of("000098100111917")
    'The number begins with 000, and the numbers of countries begin at 001; is a digit wrong?'
    >>> problem_of("04009810O111917")
    '“04009810O111917” holds “O”; a chip number of 15 characters has digits alone.'
    """
    if not chip:
        return ""
    if len(chip) in OLDER_LETTERS and chip.isascii() and chip.isalnum():
        return ""
    if is_iso(chip) and (letters := "".join(one for one in chip if not one.isdecimal())):
        return tell(
            "“{chip}” holds “{letters}”; a chip number of 15 characters has digits alone.",
            chip=chip,
            letters=letters,
        )
    if not (chip.isascii() and chip.isdigit() and is_iso(chip)):
        return tell(
            "“{chip}” has {number} characters; a chip number has 15 digits, that of an older chip "
            "9 or 10 letters and digits.",
            chip=chip,
            number=len(chip),
        )
    first, rest = int(chip[:3]), int(chip[3:])
    if first == 0:
        return tell(
            "The number begins with 000, and the numbers of countries begin at 001; is a "
            "digit wrong?"
        )
    if first == OF_TESTS:
        return tell("Numbers that begin with 999 are for test chips; no animal has one.")
    if rest > HIGHEST:
        return tell(
            "The last twelve digits are {figures}, and they go no higher than {highest}; is a "
            "digit wrong?",
            figures=rest,
            highest=HIGHEST,
        )
    return ""


def validate_chip(chip: str) -> None:
    """Raises ValidationError for what no chip can be."""
    if problem := problem_of(chip):
        raise ValidationError(problem)


class ChipColumn(ChipText):
    """The number of a chip, or nothing; in the database it is text like any other."""

    default_validators = [validate_chip]

    def deconstruct(self) -> Any:
        name, _, args, kwargs = super().deconstruct()
        return name, "django.db.models.CharField", args, kwargs
