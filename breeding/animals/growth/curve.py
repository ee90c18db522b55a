"""Von Bertalanffy's curve of growth: disc width by age, and the age at a width; pure."""

from dataclasses import dataclass
from typing import Any, overload

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Curve:
    """The three figures of a curve: final width and width at birth in mm, rate a year.

    Raises ValueError naming the figure and what is allowed.
    """

    final_width: float
    rate: float
    birth_width: float

    def __post_init__(self) -> None:
        _check_curve(self.final_width, self.rate, self.birth_width)

    def width(self, age_years: float) -> float:
        """The width in mm at an age of 0 or more years."""
        return von_bertalanffy(age_years, self.final_width, self.rate, self.birth_width)

    def age_at(self, width: float) -> float | None:
        """The age in years at which a width is reached; None when it never is, 0 when born so.

        >>> round(Curve(763.06, 0.12, 149.0).age_at(280.0), 2)
        2.0
        """
        return age_at(width, self.final_width, self.rate, self.birth_width)


@overload
def von_bertalanffy(
    age_years: float, final_width: float, rate: float, birth_width: float
) -> float: ...
@overload
def von_bertalanffy(
    age_years: Numbers, final_width: float, rate: float, birth_width: float
) -> Numbers: ...
def von_bertalanffy(age_years: Any, final_width: float, rate: float, birth_width: float) -> Any:
    """Disc width at an age: final - (final - birth) exp(-rate age).

    age_years: one number or an array of any shape, 0 or more. final_width, birth_width: above 0
    in one unit, the width comes back in it; birth below final. rate: a year, above 0.
    Raises ValueError naming the value and what is allowed.
    Source: von Bertalanffy 1938, Human Biology 10:181-213, from the width at birth instead of an
    age at width 0, as Charvet et al. 2018 (J Fish Biol) write it for P. leopoldi.

    >>> round(von_bertalanffy(10, 763.06, 0.12, 149.0), 1)  # a female of that study
    578.1
    """
    _check_curve(final_width, rate, birth_width)
    ages = np.asarray(age_years, dtype=float)
    if not np.all(np.isfinite(ages)) or np.any(ages < 0):
        raise ValueError(f"age_years is {age_years}; 0 or more years are allowed.")
    widths = final_width - (final_width - birth_width) * np.exp(-rate * ages)
    return widths if isinstance(age_years, np.ndarray) else float(widths)


def age_at(width: float, final_width: float, rate: float, birth_width: float) -> float | None:
    """The age in years at which a width is reached; None when it never is, 0 when born so.

    Arguments as of `von_bertalanffy`; width above 0. Raises ValueError.
    """
    _check_curve(final_width, rate, birth_width)
    if not np.isfinite(width) or width <= 0:
        raise ValueError(f"width is {width}; a number above 0 is allowed.")
    if width <= birth_width:
        return 0.0
    if width >= final_width:
        return None
    return float(np.log((final_width - birth_width) / (final_width - width)) / rate)


def _check_curve(final_width: float, rate: float, birth_width: float) -> None:
    figures = {"final_width": final_width, "rate": rate, "birth_width": birth_width}
    for name, value in figures.items():
        if not np.isfinite(value) or value <= 0:
            raise ValueError(f"{name} is {value}; a number above 0 is allowed.")
    if birth_width >= final_width:
        raise ValueError(
            f"birth_width is {birth_width}; a number below final_width ({final_width}) is allowed."
        )
