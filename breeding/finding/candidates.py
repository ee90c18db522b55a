"""Records that may be meant by what was typed: a bounded number, asked for in a few queries."""

from collections.abc import Iterator

from breeding.finding.index.asking import LEAST_LETTERS, Column, Hit, Index
from breeding.finding.letters import compact
from breeding.finding.slips import allowed

Key = tuple[str, int]
MOST = 200  # of one question; a keeper who sees as many types another letter
MOST_OF_A_WORD = 1000  # where several words have to stand in one record
SHORT = 6  # letters of a name in which one slip leaves no three letters as they were
COLUMNS: tuple[Column, ...] = ("name", "words")


def candidates(index: Index, asked: tuple[str, ...]) -> list[Key]:
    """Their keys, each once, those found by their names first."""
    whole = compact("".join(asked))
    found = dict.fromkeys(one.key for one in _called(index, whole))
    if len(asked) == 1:
        found |= dict.fromkeys(_of_one_word(index, asked[0], has_name=bool(found)))
    elif asked:
        found |= dict.fromkeys(_of_all_words(index, asked))
    return list(found)


def _called(index: Index, whole: str) -> Iterator[Hit]:
    if whole:
        yield from index.called(whole, MOST)
        yield from index.beginning(whole, MOST)


def _of_one_word(index: Index, word: str, *, has_name: bool) -> Iterator[Key]:
    names = index.holding(word, "name", MOST) if len(word) >= LEAST_LETTERS else []
    texts = index.holding(word, "words", MOST) if len(word) >= LEAST_LETTERS else []
    yield from (one.key for one in names)
    if not (names or has_name):
        yield from (one.key for one in _nearly_called(index, word))
    yield from (one.key for one in texts)
    if not (names or has_name or texts):
        yield from (one.key for one in _nearly(index, word, "words"))


def _of_all_words(index: Index, asked: tuple[str, ...]) -> Iterator[Key]:
    """Records in which each of several words stands; one that stands nowhere may be a slip."""
    left: dict[Key, None] | None = None
    for word in asked:
        if len(word) < LEAST_LETTERS:
            continue  # looked at when all of the record is
        keys = dict.fromkeys(
            one.key for column in COLUMNS for one in index.holding(word, column, MOST_OF_A_WORD)
        )
        if not keys:
            nearly = (*_nearly_called(index, word), *_nearly(index, word, "words"))
            keys = dict.fromkeys(one.key for one in nearly)
        left = keys if left is None else {key: None for key in left if key in keys}
    yield from list(left or {})[:MOST]


def _nearly_called(index: Index, word: str) -> list[Hit]:
    short = index.short_names(word, allowed(word), MOST_OF_A_WORD) if len(word) <= SHORT else []
    return [*short, *_nearly(index, word, "name")] if allowed(word) else []


def _nearly(index: Index, word: str, column: Column) -> list[Hit]:
    return index.alike(word, column, MOST) if allowed(word) else []
