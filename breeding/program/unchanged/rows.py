"""The answers that this process keeps: rows as the database gave them, the newest asked stay."""

import sys
from collections import OrderedDict
from collections.abc import Hashable
from dataclasses import dataclass
from threading import Lock
from typing import Any

MOST_BYTES = 24_000_000  # all together, in a process
MOST_OF_ONE = 3_000_000


@dataclass(frozen=True)
class Kept:
    """An answer, what its tables were marked with before it was asked, and its size."""

    marks: Any
    answer: Any
    size: int


class Shelf:
    """Answers by their question, bounded; what was asked longest ago goes first."""

    def __init__(self, most: int = MOST_BYTES, most_of_one: int = MOST_OF_ONE) -> None:
        self.most, self.most_of_one, self.size = most, most_of_one, 0
        self._kept: OrderedDict[Hashable, Kept] = OrderedDict()
        self._lock = Lock()

    def find(self, question: Hashable, marks: Any) -> Kept | None:
        with self._lock:
            kept = self._kept.get(question)
            if kept is None or kept.marks != marks:
                return None
            self._kept.move_to_end(question)
            return kept

    def look_up(self, question: Hashable) -> Kept | None:
        """Whatever its tables are marked with by now."""
        with self._lock:
            kept = self._kept.get(question)
            if kept is not None:
                self._kept.move_to_end(question)
            return kept

    def keep(self, question: Hashable, marks: Any, answer: Any, size: int) -> None:
        with self._lock:
            before = self._kept.pop(question, None)
            self.size -= before.size if before else 0
            if size > self.most_of_one:
                return
            self._kept[question] = Kept(marks, answer, size)
            self.size += size
            while self.size > self.most:
                self.size -= self._kept.popitem(last=False)[1].size

    def empty(self) -> None:
        with self._lock:
            self._kept.clear()
            self.size = 0

    def __len__(self) -> int:
        return len(self._kept)


SHELF = Shelf()


def values_once(rows: tuple[tuple[Any, ...], ...]) -> tuple[tuple[Any, ...], ...]:
    """The same rows, with one text or number in place of many that are equal.

    A database hands over a day or a key anew for each row it stands in. Only values of one kind
    are held equal: 1, 1.0 and True stay what they are.
    """
    texts: dict[str, str] = {}
    numbers: dict[int, int] = {}
    return tuple(
        tuple(
            texts.setdefault(one, one)
            if type(one) is str
            else numbers.setdefault(one, one)
            if type(one) is int
            else one
            for one in row
        )
        for row in rows
    )


def weight(rows: tuple[tuple[Any, ...], ...], most: int = MOST_BYTES) -> int:
    """About how many bytes rows take; of more than `most` only that they are more."""
    found = len(rows) * sys.getsizeof(rows[0]) if rows else 0  # without what stands in them
    if found > most:
        return found
    found = 0
    for row in rows:
        found += sys.getsizeof(row) + sum(map(sys.getsizeof, row))
        if found > most:
            break
    return found
