"""Texts that a spreadsheet takes for texts: no cell that somebody opens is run as a formula."""

MARK = "'"
# What makes a spreadsheet take a text for a formula, also in the wide letters of East Asia; and the
# mark itself, so that one can always be taken away again.
RUNS = (*"=+-@\t\r\n＝＋－＠", MARK)


def harmless(text: str) -> str:
    """The text with a mark before it where a spreadsheet would run it.

    >>> harmless("=1+1"), harmless("Mira"), harmless("'quoted'")
    ("'=1+1", 'Mira', "''quoted'")
    """
    return MARK + text if text.startswith(RUNS) else text


def as_it_was(text: str) -> str:
    """The text of a harmless cell.

    >>> as_it_was("'=1+1"), as_it_was("Mira")
    ('=1+1', 'Mira')
    """
    return text.removeprefix(MARK)
