"""Stretches of days of which those near others are found without looking at all of them."""

import datetime
from collections import defaultdict
from collections.abc import Iterator
from typing import Generic, TypeVar

Date = datetime.date
What = TypeVar("What")

_DAYS = 32  # of one drawer


class Stretches(Generic[What]):
    """What lasts from a day until a day (open: None), each under a number of its own.

    Cost: of a question, what lasts in the same months; of writing down, how many months it lasts.

    >>> day = datetime.date.fromisoformat
    >>> found = Stretches()
    >>> found.put(1, "in March", day("2026-03-01"), day("2026-03-31"))
    >>> found.put(2, "since May", day("2026-05-01"), None)
    >>> sorted(found.near(day("2026-03-31"), day("2026-04-30")))
    ['in March']
    >>> found.put(1, "until July", day("2026-06-01"), day("2026-07-01"))
    >>> sorted(found.near(day("2026-06-30"), None))
    ['since May', 'until July']
    """

    def __init__(self) -> None:
        self._lasting: dict[int, tuple[Date, Date | None, What]] = {}
        self._drawers: dict[int, set[int]] = defaultdict(set)
        self._open: set[int] = set()

    def put(self, number: int, what: What, since: Date, until: Date | None) -> None:
        """In place of what stood under the number."""
        self.take_out(number)
        self._lasting[number] = (since, until, what)
        if until is None:
            self._open.add(number)
        else:
            for drawer in _drawers(since, until):
                self._drawers[drawer].add(number)

    def take_out(self, number: int) -> None:
        """Nothing stands under the number any more."""
        if number not in self._lasting:
            return
        since, until, _ = self._lasting.pop(number)
        if until is None:
            self._open.discard(number)
        else:
            for drawer in _drawers(since, until):
                self._drawers[drawer].discard(number)

    def every(self) -> list[What]:
        """All of it, by their numbers."""
        return [what for _, (_, _, what) in sorted(self._lasting.items())]

    def going_on(self) -> list[int]:
        """The numbers of what has no end, in their order."""
        return sorted(self._open)

    def near(self, since: Date, until: Date | None) -> Iterator[What]:
        """All that has a day within these, the first and the last counted; by their numbers."""
        numbers = set(self._open)
        if until is None:
            numbers.update(self._lasting)
        else:
            for drawer in _drawers(since, until):
                numbers |= self._drawers.get(drawer, set())
        for number in sorted(numbers):
            began, ended, what = self._lasting[number]
            if (until is None or began <= until) and (ended is None or ended >= since):
                yield what


def _drawers(since: Date, until: Date) -> range:
    return range(since.toordinal() // _DAYS, until.toordinal() // _DAYS + 1)
