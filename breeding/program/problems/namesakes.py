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

    `there` are records with a `name` and a page of their own, once they are written down.
    """
    if not _read(name):
        return
    found = [one for one in there if same_name(one.name, name)]
    for one in found[:MOST_NAMED]:
        has_page = one.pk is not None
        yield Doubt(
            tell(sentence, other=one),
            field,
            address=one.get_absolute_url() if has_page else "",
            way=tell("Look at {record}", record=one) if has_page else "",
        )


class Namesakes:
    """Records found by their name as people read it, for many that are asked of one by one."""

    def __init__(self, there: Iterable[Any]) -> None:
        self._by_name: dict[str, list[Any]] = {}
        for one in there:
            self.add(one)

    def add(self, record: Any) -> None:
        self._by_name.setdefault(_read(record.name), []).append(record)

    def of(self, name: str) -> list[Any]:
        """Those that are called so, by their names."""
        return sorted(self._by_name.get(_read(name), ()), key=lambda one: one.name)


def _read(name: str) -> str:
    return " ".join(name.split()).casefold()
