"""The figures of a species that an estimate of pregnancy rests on, each checked; pure."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

MATING_SEEN = "copulation"  # the one kind of sign that speaks of its own day alone


def _default_signs() -> dict[str, tuple[float, float]]:
    return {
        MATING_SEEN: (0.25, 0.0012),
        "fresh_bite_marks": (0.40, 0.045),
        "biting": (0.10, 0.02),
        "parallel_swimming": (0.08, 0.05),
        "following": (0.07, 0.20),
    }


@dataclass(frozen=True)
class Profile:
    """The figures of a species that the estimate rests on; every default is an assumption.

    gestation_mean_days, gestation_sd_days: from mating to birth, both above 0.
    gestation_mean_doubt_days: how well the mean itself is known, as a sd; 0 is exactly.
    base_daily: rate of an effective mating on a day shared with a mature male, 0 or more.
    unknown_factor: share of that rate on a day of which nobody knows her company, 0 to 1.
    window_days: a mating shows, or does not, on its own day and the days after it; 1 or more.
    signs: kind -> (share of looked-at windows after a mating in which it is the strongest sign,
    the same without one), strongest first; each above 0. What is left to 1 is "nothing seen".
    scan_detectable_days: from this many days after mating on a scan can show pups.
    scan_sensitivity, scan_specificity: strictly between 0 and 1 (no scan is certain), and
    together at least 1 (else a scan would speak against what it shows).
    Raises ValueError naming the field and what is allowed.

    >>> round(Profile().nothing_after, 4), round(Profile().nothing_without, 4)
    (0.1, 0.6838)
    """

    gestation_mean_days: float = 110.0
    gestation_sd_days: float = 10.0
    gestation_mean_doubt_days: float = 0.0
    base_daily: float = 1 / 60
    unknown_factor: float = 0.25
    window_days: int = 3
    signs: Mapping[str, tuple[float, float]] = field(default_factory=_default_signs)
    scan_detectable_days: float = 45
    scan_sensitivity: float = 0.90
    scan_specificity: float = 0.95

    @property
    def nothing_after(self) -> float:
        """Share of looked-at windows after a mating in which nothing is seen."""
        return 1 - math.fsum(after for after, _ in self.signs.values())

    @property
    def nothing_without(self) -> float:
        """The same without a mating."""
        return 1 - math.fsum(without for _, without in self.signs.values())

    @property
    def gestation_spread_days(self) -> float:
        """How far one birth may lie from the mean: its own sd and the doubt about the mean."""
        return math.hypot(self.gestation_sd_days, self.gestation_mean_doubt_days)

    def __post_init__(self) -> None:
        for name in ("gestation_mean_days", "gestation_sd_days"):
            _check_number(name, getattr(self, name), above=0)
        for name in ("gestation_mean_doubt_days", "base_daily", "scan_detectable_days"):
            _check_number(name, getattr(self, name), least=0)
        _check_number("unknown_factor", self.unknown_factor, least=0, most=1)
        _check_number("window_days", self.window_days, least=1)
        if self.window_days != int(self.window_days):
            raise ValueError(f"window_days is {self.window_days}; whole days only.")
        for name in ("scan_sensitivity", "scan_specificity"):
            _check_number(name, getattr(self, name), above=0, below=1)
        if self.scan_sensitivity + self.scan_specificity < 1:
            raise ValueError(
                f"scan_sensitivity {self.scan_sensitivity} and scan_specificity "
                f"{self.scan_specificity} must together be at least 1."
            )
        self._check_signs()

    def _check_signs(self) -> None:
        for kind, (after, without) in self.signs.items():
            _check_number(f"share of sign {kind!r} after a mating", after, above=0, below=1)
            _check_number(f"share of sign {kind!r} without one", without, above=0, below=1)
        for when, nothing in (
            ("after a mating", self.nothing_after),
            ("without one", self.nothing_without),
        ):
            if nothing <= 0:
                raise ValueError(
                    f"Signs are seen in {1 - nothing:g} of the windows {when}; together they must "
                    "stay below 1, what is left being the windows in which nothing is seen."
                )


def _check_number(
    name: str,
    value: Any,
    *,
    least: float = -math.inf,
    most: float = math.inf,
    above: float = -math.inf,
    below: float = math.inf,
) -> None:
    if (
        isinstance(value, bool)
        or not isinstance(value, int | float | np.number)
        or not math.isfinite(value)
        or not (least <= value <= most and above < value < below)
    ):
        allowed = f"above {above:g}" if above > -math.inf else f"{least:g} or more"
        if below < math.inf:
            allowed += f" and below {below:g}"
        if most < math.inf:
            allowed = f"from {least:g} to {most:g}"
        raise ValueError(f"{name} is {value!r}; it must be a number {allowed}.")
