"""Rates, the sex ratio and survival, each with its interval; pure. A rate's interval is reckoned
here, for a page asks for very many of them; the others are scipy's."""

import math
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

CONFIDENCE = 0.95
WITHIN = NormalDist().inv_cdf((1 + CONFIDENCE) / 2)  # standard deviations from the middle


@dataclass(frozen=True)
class Rate:
    """So many of so many, and the interval that holds the true share with so much confidence.

    share, low and high are from 0 to 1. Of none, nothing is known: share is None, the interval
    everything.
    """

    count: int
    of: int
    low: float
    high: float

    @property
    def share(self) -> float | None:
        return self.count / self.of if self.of else None


def rate_of(count: int, of: int) -> Rate:
    """A share with its Wilson interval, which stays within 0 and 1 and holds for few as well.

    Raises ValueError when there are more than all, or less than none.

    Source: Wilson 1927, J. Am. Stat. Assoc. 22:209-212.

    >>> found = rate_of(19, 23)
    >>> round(found.low, 3), round(found.high, 3)
    (0.629, 0.93)
    >>> rate_of(0, 0)
    Rate(count=0, of=0, low=0.0, high=1.0)
    """
    if not 0 <= count <= of:
        raise ValueError(f"{count} of {of}: the count has to be from 0 to {of}.")
    if not of:
        return Rate(0, 0, 0.0, 1.0)
    share, weight = count / of, WITHIN**2 / of
    middle = (share + weight / 2) / (1 + weight)
    apart = math.sqrt(share * (1 - share) * weight + weight**2 / 4) / (1 + weight)
    return Rate(
        count,
        of,
        max(0.0, middle - apart) if count else 0.0,
        min(1.0, middle + apart) if count < of else 1.0,
    )


def chance_if_even(males: int, females: int) -> float | None:
    """How often a ratio as uneven as this, or more so, comes up when each sex is as likely.

    From 0 to 1: the two-sided p of the exact binomial test against a half; None without young.

    Source: Clopper & Pearson 1934, Biometrika 26:404-413 (the exact distribution), by
    scipy.stats.binomtest. 453 young of a relative did not differ from 1:1 (Henningsen & Leaf 2010,
    Trans. Am. Fish. Soc. 139:783-791).

    >>> [round(chance_if_even(m, n - m), 4) for m, n in ((6, 16), (4, 9), (7, 10))]
    [0.4545, 1.0, 0.3438]
    """
    from scipy.stats import binomtest

    if not males + females:
        return None
    return float(binomtest(males, males + females).pvalue)


@dataclass(frozen=True)
class Life:
    """One young one from its birth on: so many days, until it died, or until it was last known.

    One that left alive or is still here was not seen to die: its days end unfinished.
    """

    days: int
    died: bool


@dataclass(frozen=True)
class Step:
    """From an age on: how many were watched until then, how many died, and the share alive.

    low and high are None where no band can be given: while none has died, and once all have.
    """

    days: int
    at_risk: int
    died: int
    alive: float
    low: float | None
    high: float | None


def survival(lives: Sequence[Life]) -> list[Step]:
    """The share still alive at each age at which one died, from birth on; empty of none.

    The product-limit estimate with Greenwood's variance and a band on the log-log scale, which
    stays within 0 and 1. Whoever left alive or is still here counts until then. Cost: a sort.

    Sources: Kaplan & Meier 1958, J. Am. Stat. Assoc. 53:457-481; Greenwood 1926, Rep. Publ. Health
    Med. Subj. 33; by scipy.stats.ecdf.

    By hand: of four, one dies at day 3, one leaves alive at 5, one dies at 8, one is here at 10.
    Three of four live on from day 3; of the two still watched at day 8 one dies: 3/4 x 1/2.

    >>> lives = [Life(3, True), Life(5, False), Life(8, True), Life(10, False)]
    >>> [(one.days, one.at_risk, one.died, one.alive) for one in survival(lives)]
    [(0, 4, 0, 1.0), (3, 4, 1, 0.75), (8, 2, 1, 0.375)]
    """
    from scipy.stats import CensoredData, ecdf

    if not lives:
        return []
    start = Step(0, len(lives), 0, 1.0, None, None)
    if not any(one.died for one in lives):
        return [start]
    days = [one.days for one in lives]
    found = ecdf(CensoredData.right_censored(days, [not one.died for one in lives])).sf
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # it has no band at all or none alive
        band = found.confidence_interval(CONFIDENCE, method="log-log")
    rows = zip(found.quantiles, found.probabilities, band.low.probabilities,
               band.high.probabilities, strict=True)  # fmt: skip
    steps = []
    for at, alive, low, high in rows:
        died = sum(1 for one in lives if one.died and one.days == at)
        if not died:
            continue
        at_risk = sum(1 for one in lives if one.days >= at)
        given = 0 < alive < 1
        steps.append(
            Step(
                *(int(at), at_risk, died, float(alive)),
                low=float(low) if given else None,
                high=float(high) if given else None,
            )
        )
    return steps if steps[0].days == 0 else [start, *steps]


def alive_at(steps: Sequence[Step], days: int) -> Step | None:
    """The step that holds at an age; None without any."""
    reached = [one for one in steps if one.days <= days]
    return reached[-1] if reached else None
