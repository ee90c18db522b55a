"""Which of what was found is meant most likely: the exact code first, then names, then words."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from breeding.finding.letters import compact, folded
from breeding.finding.slips import nearest

EXACT, BEGINS, WORD_BEGINS, WITHIN, NEARLY, IN_TEXT, NEARLY_IN_TEXT = range(7)
NOT_AT_ALL = 99


@dataclass(frozen=True)
class Rank:
    """How well an entry fits what was asked; the smaller the likelier."""

    level: int
    slips: int = 0
    length: int = 0

    @property
    def is_exact(self) -> bool:
        return self.level == EXACT

    @property
    def fits(self) -> bool:
        return self.level != NOT_AT_ALL

    @property
    def order(self) -> tuple[int, int, int]:
        return self.level, self.slips, self.length


def rank_of(asked: tuple[str, ...], names: Iterable[str], texts: Iterable[str]) -> Rank:
    """How well one record fits, by what it is called and what was written about it.

    Every word that was asked for has to stand in it, or nearly.

    >>> rank_of(("r-12",), ["r-12", "vega"], []).level == EXACT
    True
    >>> rank_of(("vgea",), ["r-12", "vega"], []).slips
    1
    >>> rank_of(("vega", "bite"), ["vega"], ["a bite at the rim"]).level == IN_TEXT
    True
    >>> rank_of(("vega", "bite"), ["vega"], []).fits
    False
    """
    names, texts = list(names), list(texts)
    whole = compact("".join(asked))
    if whole and any(compact(name) == whole for name in names):
        return Rank(EXACT)
    called = {compact(name) for name in names}
    if asked and called.issuperset(map(compact, asked)):
        return Rank(EXACT)  # typed with its code behind its name
    ranks = [_of_word(word, names, texts) for word in asked]
    if not ranks or not all(one.fits for one in ranks):
        return Rank(NOT_AT_ALL)
    if whole and (beginning := [one for one in names if compact(one).startswith(whole)]):
        return Rank(BEGINS, 0, min(map(len, beginning)))
    worst = max(ranks, key=lambda one: one.order)
    slips = sum(one.slips for one in ranks)
    return Rank(worst.level, slips, min((len(name) for name in names), default=0))


def _of_word(word: str, names: list[str], texts: list[str]) -> Rank:
    bare = compact(word)
    if any(re.search(rf"(?<!\w){re.escape(word)}", name) for name in names):
        return Rank(WORD_BEGINS)
    if any(word in name or (bare and bare in compact(name)) for name in names):
        return Rank(WITHIN)
    if any(word in text for text in texts):
        return Rank(IN_TEXT)
    for level, among in ((NEARLY, names), (NEARLY_IN_TEXT, texts)):
        slips = [one for one in (nearest(word, text) for text in among) if one is not None]
        if slips:
            return Rank(level, min(slips))
    return Rank(NOT_AT_ALL)


def excerpt(asked: tuple[str, ...], text: str, around: int = 60) -> tuple[str, str, str]:
    """A text about the first word that was asked for: before it, the word, after it.

    >>> excerpt(("bite",), "There is a fresh bite at the rim", around=8)
    ('… fresh ', 'bite', ' at the…')
    """
    found = next((at for word in asked if (at := _place(word, text)) is not None), (0, 0))
    start, end = max(0, found[0] - around), min(len(text), found[1] + around)
    if start > 0:
        start = text.find(" ", start, found[0]) + 1 or start
    if end < len(text):
        end = (
            max(text.rfind(" ", found[1], end), found[1])
            if " " in text[found[1] + 1 : end]
            else end
        )
    before = ("… " if start > 0 else "") + text[start : found[0]]
    after = text[found[1] : end] + ("…" if end < len(text) else "")
    return before, text[found[0] : found[1]], after


def _place(word: str, text: str) -> tuple[int, int] | None:
    """Where a word stands in a text as it was written, with its accents."""
    at = folded(text).find(word)
    if at >= 0 and len(folded(text)) == len(text):
        return at, at + len(word)
    return None
