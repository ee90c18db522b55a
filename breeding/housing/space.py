"""Whether a tank gives its rays room: gentle words with what they rest on; never a refusal."""

from collections.abc import Mapping
from typing import Any

from breeding.words.sizes import MM_PER_UNIT

METRES_PER_FOOT = 0.3048


def room_words(
    length_mm: int | None,
    width_mm: int | None,
    adults: int,
    limits: Mapping[str, Any],
    unit: str,
) -> list[str]:
    """What common practice says about this floor for so many adults; nothing when it is roomy.

    Nothing either while a side is not measured: unknown is not small. `limits` is the part
    "space" of fixtures/water.json; `unit` is the program's "cm" or "in".
    """
    if not length_mm or not width_mm or adults < 1:
        return []
    long, wide = max(length_mm, width_mm), min(length_mm, width_mm)
    words = []
    if wide < limits["adult_width_mm"]:
        words.append(
            f"An adult wants a tank at least {_length(limits['adult_width_mm'], unit)} wide; this "
            f"one is {_length(wide, unit)} ({limits['source']})."
        )
    if adults >= limits["few_animals"] and (
        long < limits["few_length_mm"] or wide < limits["few_width_mm"]
    ):
        words.append(
            f"Three to five adults want about {_length(limits['few_length_mm'], unit)} by "
            f"{_length(limits['few_width_mm'], unit)} of floor ({limits['source']})."
        )
    floor_m2 = length_mm * width_mm / 1e6
    if words and adults >= 2 and floor_m2 < limits["two_floor_m2"]:
        words.append(
            f"For comparison: {_area(limits['two_floor_m2'], unit)} of floor is "
            f"{limits['two_source']}; this tank has {_area(floor_m2, unit)}."
        )
    return words


def _length(millimetres: float, unit: str) -> str:
    return f"{millimetres / MM_PER_UNIT[unit]:.0f} {unit}"


def _area(square_metres: float, unit: str) -> str:
    if unit == "in":
        return f"{square_metres / METRES_PER_FOOT**2:.0f} square feet"
    return f"{square_metres:.1f} m²"
