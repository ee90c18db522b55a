"""The figures of a species that an estimate of pregnancy rests on, each checked; pure."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np


def _default_signs() -> dict[str, tuple[float, int]]:
    return {
        "copulation": (1.5, 0),
        "fresh_bite_marks": (0.6, 2),
        "parallel_swimming": (0.15, 0),
        "following": (0.05, 0),
    }


@dataclass(frozen=True)
class Profile:
    """The figures of a species that the estimate rests on; every default is an assumption.

    gestation_mean_days, gestation_sd_days: from mating to birth, both above 0.
    base_daily: rate of an effective mating on a day shared with a mature male, 0 or more.
    signs: kind -> (boost to the rate, days looked back on beside the day itself).
    scan_detectable_days: from this many days after mating on a scan can show pups.
    scan_sensitivity, scan_specificity: strictly between 0 and 1 (no scan is certain), and
    together at least 1 (else a scan would speak against what it shows).
    Raises ValueError naming the field and what is allowed.
    """

    gestation_mean_days: float = 110.0
    gestation_sd_days: float = 10.0
    base_daily: float = 1 / 60
    signs: Mapping[str, tuple[float, int]] = field(default_factory=_default_signs)
    scan_detectable_days: float = 45
    scan_sensitivity: float = 0.90
    scan_specificity: float = 0.95

    def __post_init__(self) -> None:
        for name in ("gestation_mean_days", "gestation_sd_days"):
            _check_number(name, getattr(self, name), above=0)
        for name in ("base_daily", "scan_detectable_days"):
            _check_number(name, getattr(self, name), least=0)
        for name in ("scan_sensitivity", "scan_specificity"):
            _check_number(name, getattr(self, name), above=0, below=1)
        if self.scan_sensitivity + self.scan_specificity < 1:
            raise ValueError(
                f"scan_sensitivity {self.scan_sensitivity} and scan_specificity "
                f"{self.scan_specificity} must together be at least 1."
            )
        for kind, (boost, days_back) in self.signs.items():
            _check_number(f"boost of sign {kind!r}", boost, least=0)
            _check_number(f"days back of sign {kind!r}", days_back, least=0)
            if days_back != int(days_back):
                raise ValueError(f"days back of sign {kind!r} is {days_back}; whole days only.")


def _check_number(
    name: str,
    value: Any,
    *,
    least: float = -math.inf,
    above: float = -math.inf,
    below: float = math.inf,
) -> None:
    if (
        isinstance(value, bool)
        or not isinstance(value, int | float | np.number)
        or not math.isfinite(value)
        or not (value >= least and above < value < below)
    ):
        allowed = f"above {above:g}" if above > -math.inf else f"{least:g} or more"
        if below < math.inf:
            allowed += f" and below {below:g}"
        raise ValueError(f"{name} is {value!r}; it must be a number {allowed}.")
