"""A birth date as people write it by hand: 05/2024, May 2024, 3. Mai 2024; never a guess."""

import re

from django.core.exceptions import ValidationError

from breeding.words.language import tell

# In English, and as tables and people of other tongues have them.
MONTHS = (
    ("january", "januar", "janvier", "enero"),
    ("february", "februar", "février", "febrero"),
    ("march", "märz", "maerz", "mars", "marzo", "maart"),
    ("april", "avril", "abril"),
    ("may", "mai", "mayo", "mei"),
    ("june", "juni", "juin", "junio"),
    ("july", "juli", "juillet", "julio"),
    ("august", "août", "agosto", "augustus"),
    ("september", "septembre", "septiembre"),
    ("october", "oktober", "octobre", "octubre"),
    ("november", "novembre", "noviembre"),
    ("december", "dezember", "décembre", "diciembre"),
)
SHORTEST = 3  # letters of a month
_MONTH_YEAR = re.compile(r"(\d{1,2}) ?/ ?(\d{4})")
_SLASHES = re.compile(r"(\d{1,2}) ?/ ?(\d{1,2}) ?/ ?(\d{4})")
_WORDS = re.compile(r"(?:(\d{1,2})\.? )?([^\W\d_]+)\.? (\d{4})")


def plain_birth(typed: str) -> str:
    """The same date as year, month and day; anything else comes back as it is.

    Raises ValidationError for one that can be read day first and month first.

    >>> plain_birth("05/2024"), plain_birth("3. Mai 2024"), plain_birth("17/5/2024")
    ('2024-05', '2024-05-03', '2024-05-17')
    """
    text = " ".join(typed.split())
    if match := _MONTH_YEAR.fullmatch(text):
        return _written(match[2], match[1])
    if match := _SLASHES.fullmatch(text):
        return _of_slashes(typed, match[3], match[1], match[2])
    match = _WORDS.fullmatch(text)
    if match and (month := month_of(match[2])):
        return _written(match[3], str(month), match[1] or "")
    return typed


def month_of(word: str) -> int | None:
    """The one month that begins so in any of the tongues; None for none, or several.

    >>> month_of("Okt"), month_of("mai"), month_of("ju"), month_of("jui")
    (10, 5, None, None)
    """
    small = word.casefold()
    found = {
        number
        for number, names in enumerate(MONTHS, start=1)
        if len(small) >= SHORTEST and any(name.startswith(small) for name in names)
    }
    return found.pop() if len(found) == 1 else None


def _of_slashes(typed: str, year: str, first: str, second: str) -> str:
    if first != second and int(first) <= 12 and int(second) <= 12:
        one, other = _written(year, second, first), _written(year, first, second)
        raise ValidationError(
            tell(
                "“{typed}” can be read as {one} or as {other}; write the one that is meant.",
                typed=typed,
                one=one,
                other=other,
            )
        )
    day, month = (second, first) if int(second) > 12 else (first, second)
    return _written(year, month, day)


def _written(year: str, month: str, day: str = "") -> str:
    return "-".join([year, *(f"{int(part):02}" for part in (month, day) if part)])
