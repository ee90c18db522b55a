"""Weight lost, from weights on record; no rows, no clock."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

Date = datetime.date

LOOK_BACK_DAYS = 90  # assumption: a season's weights, and not a birth of last year


@dataclass(frozen=True)
class WeightLoss:
    """From the heaviest weight of the last weeks to the latest one, in grams."""

    heaviest_on: Date
    heaviest_g: int
    latest_on: Date
    latest_g: int

    @property
    def share(self) -> float:
        """What is gone of the heaviest weight, 0 to 1.

        >>> WeightLoss(Date(2026, 3, 1), 1250, Date(2026, 3, 20), 1100).share
        0.12
        """
        return 1 - self.latest_g / self.heaviest_g


def weight_loss(
    weights: Sequence[tuple[Date, int]],
    *,
    asof: Date,
    after: Date | None = None,
    look_back_days: int = LOOK_BACK_DAYS,
) -> WeightLoss | None:
    """The loss from the heaviest weight to the latest; None when there is none, or nothing known.

    weights: (day, grams) in any order. Only weights up to `asof`, and those after `after` when it
    is given: a birth takes weight that is no loss. Looks back `look_back_days` from the latest.

    >>> loss = weight_loss(
    ...     [(Date(2026, 3, 1), 1250), (Date(2026, 3, 20), 1100)], asof=Date(2026, 4, 1)
    ... )
    >>> round(loss.share, 2), loss.heaviest_on
    (0.12, datetime.date(2026, 3, 1))
    """
    known = sorted(
        (on, grams) for on, grams in weights if on <= asof and (after is None or on > after)
    )
    if len(known) < 2:
        return None
    latest_on, latest_g = known[-1]
    first = latest_on - datetime.timedelta(days=look_back_days)
    earlier = [(grams, on) for on, grams in known[:-1] if on >= first]
    if not earlier:
        return None
    heaviest_g, heaviest_on = max(earlier)
    if heaviest_g <= latest_g:
        return None
    return WeightLoss(heaviest_on, heaviest_g, latest_on, latest_g)
