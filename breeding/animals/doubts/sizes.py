"""Whether two sizes of one animal can follow on each other; no rows, no clock."""

import datetime
from bisect import bisect_right, insort
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

Date = datetime.date
Dated = tuple[Date, int]


@dataclass(frozen=True)
class Size:
    """What was measured on a day; None where that was not, or the day is not known."""

    on: Date | None
    width_mm: int | None = None
    weight_g: int | None = None


@dataclass(frozen=True)
class SizeLimits:
    """From where on a size is asked about; the figures of fixtures/doubts.json."""

    reading_error_mm: float
    reading_error_share: float
    growth_most_mm_a_day: float
    weight_change_times: float
    weight_change_days: float
    weight_of_width_factor: float
    weight_of_width_power: float
    weight_of_width_times: float
    weight_own_times: float
    weight_own_spreads: float
    weight_beside_width_days: float

    def reading_error_of(self, width_mm: float) -> float:
        """By how much two readings of one disc can differ, in mm."""
        return max(self.reading_error_mm, self.reading_error_share * width_mm)

    def grows_too_fast(self, before_mm: int, after_mm: int, days: int) -> bool:
        """Whether a disc hardly grows from one width to the other in so many days."""
        most = self.growth_most_mm_a_day * days + self.reading_error_of(after_mm)
        return after_mm - before_mm > most

    def shrinks(self, before_mm: int, after_mm: int) -> bool:
        """Whether the later width is smaller by more than two readings differ."""
        return before_mm - after_mm > self.reading_error_of(before_mm)

    def weight_jumps(self, before_g: int, after_g: int, days: int) -> bool:
        """Whether a weight has doubled or halved within days."""
        less, more = sorted((before_g, after_g))
        return days <= self.weight_change_days and more >= self.weight_change_times * less

    def usual_weight_g(self, width_mm: int) -> float:
        """What a ray of a width weighs, by the one pair of figures that is published, in g."""
        return float(self.weight_of_width_factor * (width_mm / 10) ** self.weight_of_width_power)


class Sizes:
    """The sizes of one animal by day: what stands on either side of a day is found at once."""

    def __init__(self, sizes: Iterable[Size] = ()) -> None:
        self.days: set[Date | None] = set()
        self.widths: list[Dated] = []
        self.weights: list[Dated] = []
        for one in sizes:
            self.add(one)

    def add(self, one: Size) -> None:
        self.days.add(one.on)
        if one.on is not None and one.width_mm:
            insort(self.widths, (one.on, one.width_mm))
        if one.on is not None and one.weight_g:
            insort(self.weights, (one.on, one.weight_g))


def neighbours(on: Date, figures: Sequence[Dated]) -> list[Dated]:
    """Of figures in order the nearest before and after a day; one of the day itself is before it.

    >>> day = Date(2026, 3, 2)
    >>> known = Sizes(
    ...     [Size(Date(2026, 3, 1), 120), Size(None, 300), Size(day), Size(Date(2026, 4, 1), 150)]
    ... )
    >>> [figure for _, figure in neighbours(day, known.widths)]
    [120, 150]
    """
    after = bisect_right(figures, on, key=lambda one: one[0])
    return [*figures[max(after - 1, 0) : after], *figures[after : after + 1]]
