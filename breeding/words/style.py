"""What a page and a sheet may differ by when they say the same thing."""

from dataclasses import dataclass

from breeding.words.language import says


@dataclass(frozen=True)
class Style:
    """How a sentence is set; what it says is the same in every style.

    `is_closed`: begins with a capital letter and ends with a full stop; in a table it does not.
    `spells`: small numbers of names left out are written in letters. `most_names`, `most_reasons`:
    how many are given before the rest is counted.
    """

    is_closed: bool
    spells: bool
    most_names: int = 8
    most_reasons: int = 6

    def close(self, words: str) -> str:
        """As a sentence of its own where this style wants that.

        >>> PAGE.close("first cousins"), SHEET.close("first cousins"), PAGE.close("")
        ('First cousins.', 'first cousins', '')
        """
        if not self.is_closed or not words:
            return words
        return f"{capital(words)}{'' if words.endswith(('.', '!', '?')) else '.'}"


@says
def capital(words: str) -> str:
    """With a capital letter first; the rest as it is.

    >>> capital("pure P. motoro")
    'Pure P. motoro'
    """
    return words[:1].upper() + words[1:]


PAGE = Style(is_closed=True, spells=False)
SHEET = Style(is_closed=False, spells=True, most_reasons=4)
