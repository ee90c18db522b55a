"""Weight for width, fitted log-log over the animals of a program; pure.

    log weight = log factor + power log width + u_animal + error,

with the weight in g and the width in cm. Each animal is a little heavier or lighter than its
width for good (u, normal with the spread `among`), so that one weighed fifty times counts as one
animal and not as fifty. The error has two parts: of the weight and of the day (`within`), and of
the rule, a few mm, which weighs more the smaller the animal: power x mm / width. The spreads are
those of the highest restricted likelihood, held loosely to usual ones while few animals are
weighed; the power is held loosely to the published one, because a single litter is too narrow a
span of widths to tell it.

Source of the form: the allometric law, Le Cren 1951, J Anim Ecol 20:201-219. Source of the pair
where a fit starts: P. wallacei, Braz J Biol 2024, W = 0.0586 DW^2.9285.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import chain
from itertools import combinations_with_replacement as combined

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]
Logs = Sequence[float] | Numbers  # of the spreads: among, within, rule

# Before anything is weighed; every one an assumption of this project.
POWER_KNOWN_TO = 0.2  # of a power around the published one: bodies keep their shape (3) or nearly
AMONG, WITHIN = 0.08, 0.08  # of the log of the weight, among animals and within one
RULE_MM = 2.5  # of a reading of the width
SPREADS_KNOWN_TO = 0.6  # of the log of each of the three
# From so many on the program's own animals say more than a pair of another species: five animals
# that differ by a tenth tell their middle to 4 %, and twenty points the spread to a sixth of it.
ENOUGH_ANIMALS, ENOUGH_POINTS = 5, 20
BEYOND = 1.25  # times narrower or wider than any that were weighed: nothing is said any more
CLOSE, MOST_STEPS = 0.05, 120  # of the logs of the spreads, and of their misfit
LEAST_LOG, MOST_LOG = -8.0, 4.0  # of a spread
WORTH = 4.0  # degrees of freedom that the usual spreads are worth
_SQUARE = np.array([[0, 1, 2], [1, 3, 4], [2, 4, 5]])  # where of six its three rows stand


def weight_of_width(width_cm: float, factor: float, power: float) -> float:
    """The weight in g that goes with a width in cm: factor x width ^ power.

    All three above 0. Raises ValueError naming the value and what is allowed.

    >>> [round(weight_of_width(cm, 0.0586, 2.9285), 1) for cm in (10, 20, 30)]
    [49.7, 378.4, 1240.6]
    """
    for name, value in (("width_cm", width_cm), ("factor", factor), ("power", power)):
        if not math.isfinite(value) or value <= 0:
            raise ValueError(f"{name} is {value}; a number above 0 is allowed.")
    return float(factor * width_cm**power)


@dataclass(frozen=True)
class Weighed:
    """One animal's points: widths in cm and weights in g, two lists of one length, above 0."""

    widths_cm: tuple[float, ...]
    weights_g: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.widths_cm) != len(self.weights_g):
            raise ValueError("widths_cm and weights_g are two lists of one length.")
        for name in ("widths_cm", "weights_g"):
            values = getattr(self, name)
            if values and not (min(values) > 0 and all(map(math.isfinite, values))):
                raise ValueError(f"{name} are {values}; above 0 is allowed.")


@dataclass(frozen=True)
class Expected:
    """A weight in g with the span in which so many animals of that width are weighed."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class WeightForWidth:
    """A fitted pair with its spreads.

    among, within: standard deviations of the log of the weight, of animals and of one day.
    rule_mm: of a reading of the width. doubt: variances of (log weight at the middle width,
    power), 2 x 2. narrowest_cm, widest_cm: of the points it rests on.
    """

    factor: float
    power: float
    among: float
    within: float
    rule_mm: float
    animals: int
    points: int
    narrowest_cm: float
    widest_cm: float
    middle_log_cm: float = 0.0
    doubt: npt.NDArray[np.float64] = field(
        default_factory=lambda: np.zeros((2, 2)), compare=False, repr=False
    )

    @property
    def is_enough(self) -> bool:
        """Whether it rests on so many that it says more than a published pair."""
        return self.animals >= ENOUGH_ANIMALS and self.points >= ENOUGH_POINTS

    def covers(self, width_cm: float) -> bool:
        """Whether animals about so wide were weighed."""
        return self.narrowest_cm / BEYOND <= width_cm <= self.widest_cm * BEYOND

    def spread(self, width_cm: float) -> float:
        """Of the log of the weight of another animal of that width: standard deviation."""
        away = np.array([1.0, math.log(width_cm) - self.middle_log_cm])
        of_rule = self.power * self.rule_mm / 10 / width_cm
        known = float(away @ self.doubt @ away)
        return math.sqrt(known + self.among**2 + self.within**2 + of_rule**2)

    def spread_of_a_day(self, width_cm: float) -> float:
        """Of the log of the weight of one animal of that width from day to day, as measured."""
        return math.hypot(self.within, self.power * self.rule_mm / 10 / width_cm)

    def weight(self, width_cm: float) -> float:
        """The middle one, g."""
        return weight_of_width(width_cm, self.factor, self.power)

    def expected(self, width_cm: float, share: float = 0.9) -> Expected:
        """The middle weight in g, with the span that holds such a share of other animals."""
        middle, apart = self.weight(width_cm), self._times(share) * self.spread(width_cm)
        return Expected(middle * math.exp(-apart), middle, middle * math.exp(apart))

    def _times(self, share: float) -> float:
        """Spreads to each side; wider where few animals told the spreads themselves."""
        from scipy.special import stdtrit  # Student's t; not loaded where nothing is weighed

        return float(stdtrit(WORTH + self.animals, 0.5 + share / 2))


def fit_weights(
    weighed: Sequence[Weighed], *, factor: float, power: float
) -> WeightForWidth | None:
    """Fit the pair over all animals; None where nothing was weighed.

    factor, power: the published pair, where the fit starts. Cost: about 0.02 s for 1,000 points.
    """
    animals = [one for one in weighed if one.widths_cm]
    if not animals:
        return None
    laid = _Laid(animals, factor, power)
    usual = tuple(math.log(one) for one in (AMONG, WITHIN, RULE_MM))

    def misfit(logs: Logs) -> float:
        away = sum((one - own) ** 2 for one, own in zip(logs, usual, strict=True))
        return laid.misfit(logs) + float(away) / SPREADS_KNOWN_TO**2

    from scipy.optimize import minimize

    closely = {"maxiter": MOST_STEPS, "xatol": CLOSE, "fatol": CLOSE}
    found = minimize(misfit, np.array(usual), method="Nelder-Mead", options=closely)
    among, within, rule = (math.exp(one) for one in found.x)
    middle, doubt = laid.solved(among, within, rule)
    widths = np.exp(laid.x + laid.middle)
    return WeightForWidth(
        factor=float(np.exp(middle[0] - middle[1] * laid.middle)),
        power=float(middle[1]),
        among=among,
        within=within,
        rule_mm=rule,
        animals=len(animals),
        points=len(laid.x),
        narrowest_cm=float(widths.min()),
        widest_cm=float(widths.max()),
        middle_log_cm=laid.middle,
        doubt=doubt,
    )


class _Laid:
    """All points in one row, the logs of the widths around their middle."""

    def __init__(self, animals: Sequence[Weighed], factor: float, power: float) -> None:
        each = [len(one.widths_cm) for one in animals]
        self.begins = np.concatenate([[0], np.cumsum(each)[:-1]])
        logs = np.log(list(chain.from_iterable(one.widths_cm for one in animals)))
        self.middle = float(logs.mean())
        self.x, self.power = logs - self.middle, power
        y = np.log(list(chain.from_iterable(one.weights_g for one in animals)))
        self.rows = np.array([np.ones_like(self.x), self.x, y])
        self.products = np.array([one * other for one, other in combined(self.rows, 2)])
        # what a mm more of width does to the log weight, squared
        self.of_mm = (power / 10 / np.exp(logs)) ** 2
        self.prior = np.array([math.log(factor) + power * self.middle, power])
        self.known = np.diag([0.0, 1 / POWER_KNOWN_TO**2])  # of the factor nothing is held

    def _sums(self, among: float, within: float, rule: float) -> tuple[Numbers, Numbers, Numbers]:
        """What least squares needs: X'V^-1 X, X'V^-1 y, and (y'V^-1 y, log |V|)."""
        spread = within**2 + rule**2 * self.of_mm
        weight = 1 / spread
        by_animal = np.add.reduceat(self.rows * weight, self.begins, axis=1)
        held = among**2 * by_animal[0] + 1
        log_size = float(np.log(held).sum() + np.log(spread).sum())
        inner = (self.products @ weight)[_SQUARE]
        inner -= among**2 * (by_animal / held) @ by_animal.T
        return inner[:2, :2], inner[:2, 2], np.array([inner[2, 2], log_size])

    def solved(self, among: float, within: float, rule: float) -> tuple[Numbers, Numbers]:
        """(log weight at the middle width, power), and their variances."""
        squares, toward, _ = self._sums(among, within, rule)
        doubt = np.linalg.inv(squares + self.known)
        at = doubt @ (toward + self.known @ self.prior)
        return np.asarray(at, dtype=float), np.asarray(doubt, dtype=float)

    def misfit(self, logs: Logs) -> float:
        """Minus twice the restricted log likelihood of three spreads."""
        among, within, rule = (math.exp(min(max(one, LEAST_LOG), MOST_LOG)) for one in logs)
        squares, toward, (own, log_size) = self._sums(among, within, rule)
        (first, off), (_, last) = (squares + self.known).tolist()
        level, power = (toward + self.known @ self.prior).tolist()
        size = first * last - off**2
        at = (last * level - off * power) / size, (first * power - off * level) / size
        held = float(self.prior @ self.known @ self.prior)
        fallen = first * at[0] ** 2 + 2 * off * at[0] * at[1] + last * at[1] ** 2
        return float(own + held - fallen + log_size + math.log(size))
