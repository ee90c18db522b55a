"""Two of one name: asked about once, with the way to the one that is there."""

from collections.abc import Iterable, Iterator
from typing import Any

from breeding.program.problems.doubts import Doubt
from breeding.words.language import tell

MOST_NAMED = 3


def same_name(one: str, other: str) -> bool:
    """Whether people read the two as one name: letters great or small, spaces few or many.

    >>> same_name("Kim  Lund", "kim lund"), same_name("Kim Lund", "Kim Lunde")
    (True, False)
    """
    return _read(one) == _read(other)


def doubts_of_namesakes(
    name: str, there: Iterable[Any], sentence: str, *, field: str
) -> Iterator[Doubt]:
    """A doubt for each of the first few that are called so; `sentence`, a message, holds {other}.

    `there` are records with a `name` and a page of their own.
    """
    if not _read(name):
        return
    found = [one for one in there if same_name(one.name, name)]
    for one in found[:MOST_NAMED]:
        yield Doubt(
            tell(sentence, other=one),
            field,
            address=one.get_absolute_url(),
            way=tell("Look at {record}", record=one),
        )


def _read(name: str) -> str:
    return " ".join(name.split()).casefold()
