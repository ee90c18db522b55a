"""Sentences that the program itself writes into a record: kept in English, read in any language.

A column of free text holds what a keeper typed, which is never touched, or one of these with its
{names} filled in. They are known again by their words when somebody reads them; what was kept in
another way stays as it is.
"""

import re
from collections.abc import Callable, Iterable
from functools import cache

from breeding.words.language import later, tell

_whole: set[str] = set()
_more: dict[str, Callable[[], Iterable[str]]] = {}
_with_parts: dict[str, re.Pattern[str]] = {}


def stored(sentence: str) -> str:
    """A sentence that is kept in records; said once, where it stands as a constant."""
    parts = re.split(r"\{(\w+)\}", sentence)
    if len(parts) == 1:
        _whole.add(sentence)
        return sentence
    # Fixed words and names take turns.
    pattern = "".join(
        f"(?P<{part}>.+)" if at % 2 else re.escape(part) for at, part in enumerate(parts)
    )
    _with_parts[sentence] = re.compile(pattern, re.DOTALL)
    return sentence


def add_stored(name: str, words: Callable[[], Iterable[str]]) -> None:
    """Called once by a room above, in its AppConfig.ready: names that it keeps in records."""
    _more[name] = cache(lambda: frozenset(words()))


def as_stored(sentence: str, most: int = 200, **values: object) -> str:
    """As it is kept: in English whoever writes it, at most so many letters.

    >>> as_stored(stored("joined to {record}"), record="Reef")
    'joined to Reef'
    """
    return sentence.format(**values)[:most]


def read_stored(text: str) -> str:
    """What stands in the column, in the language of whoever reads it.

    A reason within a sentence is one of these sentences itself, or a keeper's own.

    >>> read_stored("joined to Reef"), read_stored("typed by a keeper")
    ('joined to Reef', 'typed by a keeper')
    """
    if text in _whole or any(text in words() for words in _more.values()):
        return tell(text)
    for sentence, pattern in _with_parts.items():
        if found := pattern.fullmatch(text):
            return tell(sentence, **{name: _part(one) for name, one in found.groupdict().items()})
    return text


def _part(text: str) -> str:
    return later(lambda: read_stored(text))
