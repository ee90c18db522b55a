"""Many keys or rows, so many at a time."""

from collections.abc import Collection, Hashable, Iterator, Mapping, Sequence
from typing import TypeVar

One = TypeVar("One")
Other = TypeVar("Other", bound=Hashable)
AT_ONCE = 500  # keys asked of in one query, rows held a second time while they are written


def in_parts(every: Sequence[One]) -> Iterator[Sequence[One]]:
    """In their order, AT_ONCE at a time.

    >>> [len(part) for part in in_parts(range(1001))]
    [500, 500, 1]
    """
    return (every[begin : begin + AT_ONCE] for begin in range(0, len(every), AT_ONCE))


def alike(
    asked: Mapping[One, Other], among: Collection[One] | None = None
) -> Iterator[tuple[Other, list[One]]]:
    """Of these (None: all), those for whom the same is asked, by that.

    >>> list(alike({"Mira": 1, "Vega": 2, "Lyra": 1}, {"Mira", "Lyra"}))
    [(1, ['Mira', 'Lyra'])]
    """
    found: dict[Other, list[One]] = {}
    for one, what in asked.items():
        if among is None or one in among:
            found.setdefault(what, []).append(one)
    yield from found.items()
