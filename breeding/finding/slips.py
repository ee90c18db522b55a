"""How far what was typed is from a word: letters wrong, left out, doubled or changed over."""

import re

LETTERS_A_SLIP = 4  # one slip in a word of four to seven letters, two in a longer one
MOST_SLIPS = 2


def allowed(word: str) -> int:
    """How many slips are forgiven in a word; none where it holds a figure: that is another code.

    >>> allowed("eel"), allowed("vega"), allowed("quarantine"), allowed("r12b")
    (0, 1, 2, 0)
    """
    if any(letter.isdigit() for letter in word):
        return 0
    return min(len(word) // LETTERS_A_SLIP, MOST_SLIPS)


def slips(typed: str, word: str, most: int) -> int:
    """Slips between two words; `most` + 1 stands for whatever is more.

    Counts letters that are wrong, missing, too many, or changed over with their neighbour
    (the restricted distance of Damerau 1964, Commun. ACM 7:171-176).

    >>> slips("vgea", "vega", 2), slips("biten", "bitten", 2), slips("mira", "rigel", 2)
    (1, 1, 3)
    """
    if abs(len(typed) - len(word)) > most:
        return most + 1
    before: list[int] = []
    row = list(range(len(word) + 1))
    for place, letter in enumerate(typed, 1):
        before, row, above = row, [place], before
        for at, other in enumerate(word, 1):
            cost = min(before[at] + 1, row[at - 1] + 1, before[at - 1] + (letter != other))
            if place > 1 < at and letter == word[at - 2] and typed[place - 2] == other:
                cost = min(cost, above[at - 2] + 1)
            row.append(cost)
        if min(row) > most:
            return most + 1
    return min(row[-1], most + 1)


def nearest(typed: str, text: str) -> int | None:
    """The fewest slips between what was typed and a word of a text; None for more than forgiven.

    >>> nearest("biten", "was bitten at the rim"), nearest("biten", "eats well")
    (1, None)
    """
    most = allowed(typed)
    if not most:
        return None
    words = {word for word in re.split(r"[^\w]+", text) if abs(len(word) - len(typed)) <= most}
    fewest = min((slips(typed, word, most) for word in words), default=most + 1)
    return fewest if fewest <= most else None
