"""Many keys or rows, so many at a time."""

from collections.abc import Iterator, Sequence
from typing import TypeVar

One = TypeVar("One")
AT_ONCE = 500  # keys asked of in one query, rows held a second time while they are written


def in_parts(every: Sequence[One]) -> Iterator[Sequence[One]]:
    """In their order, AT_ONCE at a time.

    >>> [len(part) for part in in_parts(range(1001))]
    [500, 500, 1]
    """
    return (every[begin : begin + AT_ONCE] for begin in range(0, len(every), AT_ONCE))
