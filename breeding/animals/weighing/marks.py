"""What the page tells its script, so that a slip is marked while it is typed; pure but for rows.

The script only marks. Whether something is kept is asked by `keeping.py`, with the same figures.
"""

import math
from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _

from breeding.animals.doubts.measured import own_weights, size_limits
from breeding.animals.growth.weights import is_published_for_these
from breeding.animals.models import Animal
from breeding.animals.weighing.last import Last
from breeding.program.models import Program
from breeding.words.numbers import written
from breeding.words.sizes import MM_PER_UNIT

# What the script says; {names} in braces it fills in itself.
_WORDS = {
    "narrower": _("{width}? It was {before} on {day}."),
    "wider": _("{width}? It was {before} on {day}: too much growth."),
    "changed": _("{weight}? The last was {before} on {day}."),
    "usualHere": _("About {usual} is usual at {width} here."),
    "usualPublished": _("About {usual} is usual at {width} by the published pair."),
    "save": _("Save {number} of {all}"),
    "saveDoubtful": _("Save {number} of {all}, {doubtful} to look at again"),
}


def marks_for(
    animals: Sequence[Animal], last: dict[int, Last], program: Program, *, on: Any
) -> dict[str, Any]:
    """For `json_script`: limits for all, and for each animal its last figures and usual weights."""
    fits = own_weights(animals, [on] * len(animals))
    limits, own = size_limits(), dict(zip((one.pk for one in animals), fits, strict=True))
    published = {
        "factor": limits.weight_of_width_factor,
        "power": limits.weight_of_width_power,
        "times": limits.weight_of_width_times,
        "own": False,
    }
    of: dict[str, Any] = {}
    for one in animals:
        known = last.get(one.pk, Last())
        fit = own.get(one.pk)
        usual: dict[str, Any] | None = published if is_published_for_these() else None
        if fit is not None:
            apart = fit.spread(math.sqrt(fit.narrowest_cm * fit.widest_cm))
            times = max(limits.weight_own_times, math.exp(limits.weight_own_spreads * apart))
            usual = {"factor": fit.factor, "power": fit.power, "times": times, "own": True}
        of[str(one.pk)] = {
            "width": known.width and [known.width[0].isoformat(), known.width[1]],
            "weight": known.weight and [known.weight[0].isoformat(), known.weight[1]],
            "usual": usual,
        }
    return {
        "of": of,
        "words": {name: str(words) for name, words in _WORDS.items()},
        "point": written("0.5")[1],
        "mmPerUnit": MM_PER_UNIT[program.length_unit],
        "unit": program.length_unit,
        "growthMost": limits.growth_most_mm_a_day,
        "errorMm": limits.reading_error_mm,
        "errorShare": limits.reading_error_share,
        "changeTimes": limits.weight_change_times,
        "changeDays": limits.weight_change_days,
    }
