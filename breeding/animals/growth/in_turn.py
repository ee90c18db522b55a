"""How wide animals will be, asked of one after the other: nobody is measured meanwhile."""

import datetime
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from breeding.animals.growth.ahead import WidthAhead, figures_of, latest_widths, widths_ahead
from breeding.animals.growth.own import Band
from breeding.animals.growth.reading import MeasuredProgram, measured_program
from breeding.animals.models import Animal
from breeding.animals.species.profiles import Figures
from breeding.program.parts import in_parts

Date = datetime.date


class GrowthInTurn:
    """What `ahead.py` says of each, read once of all who are expected; of another when it is asked.

    expected: of whom it may be asked.
    """

    def __init__(self, expected: Mapping[int, Animal]) -> None:
        self._expected = expected
        self._latest: dict[int, tuple[Date | None, int] | None] = {}
        self._figures: dict[int, Figures] = {}
        self._ahead: dict[int, WidthAhead] = {}

    def latest_widths(self, keys: Collection[int]) -> dict[int, tuple[Date | None, int]]:
        if missing := self._missing(keys, self._latest):
            for part in in_parts(missing):
                self._latest |= dict.fromkeys(part) | latest_widths(part)
        return {key: latest for key in keys if (latest := self._latest[key]) is not None}

    def figures_of(self, keys: Collection[int]) -> Mapping[int, Figures]:
        if missing := self._missing(keys, self._figures):
            self._figures |= figures_of(missing)
        return {key: self._figures[key] for key in keys}

    def widths_ahead(self, animals: Iterable[Animal]) -> dict[int, WidthAhead]:
        asked = {one.pk: one for one in animals}
        if missing := self._missing(asked, self._ahead):
            every = {**self._expected, **asked}
            for part in in_parts(missing):
                found = widths_ahead([every[key] for key in part], self._program)
                self._ahead |= {key: _remembered(one) for key, one in found.items()}
        return {key: self._ahead[key] for key in asked}

    @cached_property
    def _program(self) -> MeasuredProgram:
        return measured_program()

    def _missing(self, keys: Collection[int], held: Mapping[int, object]) -> list[int]:
        """Who is to be read; the first time with all who are expected."""
        if all(key in held for key in keys):
            return []
        return [key for key in {**self._expected, **dict.fromkeys(keys)} if key not in held]


@dataclass(frozen=True)
class _Remembered(WidthAhead):
    """One that does not reckon the same days again."""

    bands: dict[tuple[Date, Date, int], Band] = field(default_factory=dict)

    def on(self, days: Sequence[Date]) -> Band:
        """days: each day from the first to the last, or these two alone."""
        which = days[0], days[-1], len(days)
        if which not in self.bands:
            self.bands[which] = super().on(days)
            vars(self).pop("growth", None)  # its curves take 48 kB
        return self.bands[which]


def _remembered(one: WidthAhead) -> _Remembered:
    return _Remembered(one.animal, one.points, one.taught, one.loose)
