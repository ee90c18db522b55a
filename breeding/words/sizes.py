"""Lengths and weights in the program's units."""

from breeding.words.language import says, tell
from breeding.words.numbers import figure

MM_PER_UNIT = {"cm": 10.0, "in": 25.4}
GRAMS_PER_OUNCE = 28.349523125


@says
def length(millimetres: float | None, unit: str) -> str:
    """Of a disc or a tank.

    >>> length(382, "cm"), length(381, "in"), length(None, "cm")
    ('38.2 cm', '15.0 in', 'unknown')
    """
    if millimetres is None:
        return tell("unknown")
    return f"{figure(millimetres / MM_PER_UNIT[unit], 1)} {unit}"


@says
def weight(grams: float | None, unit: str) -> str:
    """Of an animal.

    >>> weight(450, "g"), weight(1240, "g"), weight(450, "oz"), weight(1088.6, "oz")
    ('450 g', '1.24 kg', '15.9 oz', '2.4 lb')
    """
    if grams is None:
        return tell("unknown")
    if unit == "oz":
        ounces = grams / GRAMS_PER_OUNCE
        return f"{figure(ounces, 1)} oz" if ounces < 32 else f"{figure(ounces / 16, 1)} lb"
    return f"{figure(grams)} g" if grams < 1000 else f"{figure(grams / 1000, 2)} kg"
