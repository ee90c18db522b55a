"""A straight line through few widths, for an animal whose program has taught nothing yet; pure."""

import numpy as np

from breeding.animals.growth.curve import Numbers
from breeding.animals.growth.fit import NOISE_MM, Measured
from breeding.animals.growth.own import Band, Span

NINE_OF_TEN = 1.645  # standard deviations to each side of the middle of a normal distribution
LEAST_YEARS = 14 / 365.25  # measurements closer to each other say little of growth


class StraightLine:
    """The line of least squares through at least two widths, with the error of a rule.

    Raises ValueError when the widths are fewer, or all within two weeks.
    """

    is_own = False

    def __init__(self, measured: Measured, noise: float = NOISE_MM) -> None:
        if not is_enough(measured):
            raise ValueError("A line needs two widths, two weeks apart or more.")
        self.middle_age = float(measured.ages.mean())
        around = measured.ages - self.middle_age
        squares = float(np.sum(around**2))
        self.middle_width = float(measured.widths.mean())
        self.gain = float(np.sum(around * measured.widths)) / squares  # mm a year
        self.gain_doubt = noise / np.sqrt(squares)
        self.level_doubt = noise / np.sqrt(len(measured.ages))

    def band(self, ages: Numbers) -> Band:
        """Where nine of ten such lines are at these ages, mm."""
        around = ages - self.middle_age
        middle = self.middle_width + self.gain * around
        apart = NINE_OF_TEN * np.sqrt(self.level_doubt**2 + (self.gain_doubt * around) ** 2)
        return Band(middle - apart, middle, middle + apart)

    def reaches(self, width: float) -> Span:
        """The ages in years at which the edges of the band and the line are so wide."""
        ages = [self._age(width, side) for side in (1, 0, -1)]
        return Span(*ages)

    def _age(self, width: float, side: int) -> float | None:
        """Where middle + side * NINE_OF_TEN * sd meets the width, after the widths measured."""
        gap, spread = width - self.middle_width, NINE_OF_TEN * side
        if side == 0:
            return self.middle_age + gap / self.gain if self.gain > 0 and gap >= 0 else None
        # (gain^2 - s^2 gain_doubt^2) x^2 - 2 gap gain x + gap^2 - s^2 level_doubt^2 = 0
        a = self.gain**2 - (spread * self.gain_doubt) ** 2
        b = -2 * gap * self.gain
        c = gap**2 - (spread * self.level_doubt) ** 2
        if abs(a) < 1e-12:
            return None
        roots = np.roots([a, b, c])
        real = [float(one.real) for one in roots if abs(one.imag) < 1e-9 and one.real >= 0]
        fitting = [x for x in real if self._is_on(x, gap, spread)]
        return min(fitting) + self.middle_age if fitting else None

    def _is_on(self, x: float, gap: float, spread: float) -> bool:
        edge = self.gain * x + spread * np.sqrt(self.level_doubt**2 + (self.gain_doubt * x) ** 2)
        return bool(abs(edge - gap) < 1e-6 * max(abs(gap), 1))


def is_enough(measured: Measured) -> bool:
    """Whether a line can be drawn at all."""
    ages = measured.ages
    return len(ages) >= 2 and float(ages[-1] - ages[0]) >= LEAST_YEARS
