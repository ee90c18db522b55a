"""Little carbonate hardness and a falling pH together; no rows, no clock."""

import datetime
from collections.abc import Sequence

from breeding.housing.figures import figure
from breeding.housing.water.fit import Reading, value_words
from breeding.words.days import long_day
from breeding.words.language import tell

EXACT = 6


def little_kh_words(
    readings: Sequence[Reading], *, since: datetime.date, most_dh: float, fell: float
) -> str:
    """What is worth a word where the newest KH is little and the pH fell; readings newest first.

    Empty for anything else, and where either was not read since that day.

    >>> on = datetime.date(2026, 3, 1)
    >>> before = Reading("ph", 7.0, on), Reading("kh", 1, on)
    >>> now = Reading("ph", 6.5, datetime.date(2026, 3, 9))
    >>> little_kh_words([now, *before], since=on, most_dh=2, fell=0.3)[:60]
    'A KH of 1 °dH hardly holds the pH, and it fell from 7 on 1 M'
    """
    recent = [one for one in readings if one.on >= since]
    kh = next((one for one in recent if one.what == "kh"), None)
    phs = [one for one in recent if one.what == "ph"]
    if kh is None or kh.value > most_dh or len(phs) < 2:
        return ""
    before = max(phs[1:], key=lambda one: (one.value, one.on))
    if round(before.value - phs[0].value, EXACT) < fell:
        return ""
    return tell(
        "A KH of {kh} hardly holds the pH, and it fell from {before} on {day} to {now}: it can go "
        "on falling, and fast. Test the pH more often, and change water in small parts.",
        kh=value_words(kh),
        before=figure(before.value),
        day=long_day(before.on),
        now=figure(phs[0].value),
    )
