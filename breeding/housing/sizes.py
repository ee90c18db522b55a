"""How a tank's size is written, in the program's units."""

from breeding.housing.figures import in_tenths
from breeding.words.language import tell
from breeding.words.numbers import written
from breeding.words.sizes import MM_PER_UNIT

LITRES_PER_GALLON = 3.785411784  # the US gallon: 231 cubic inches of 25.4 mm, exactly


def volume_words(litres: float | None, unit: str) -> str:
    """A volume in whole litres or US gallons.

    >>> volume_words(1200, "l"), volume_words(1200, "gal"), volume_words(None, "l")
    ('1,200 litres', '317 US gallons', 'volume not recorded')
    """
    if litres is None:
        return tell("volume not recorded")
    if unit == "gal":
        gallons = written(f"{litres / LITRES_PER_GALLON:,.0f}")
        return tell("{number} US gallons", number=gallons)
    return tell("{number} litres", number=written(f"{litres:,.0f}"))


def size_words(
    length_mm: int | None, width_mm: int | None, height_mm: int | None, unit: str
) -> str:
    """Length, width and height; a side that nobody measured is a question mark.

    >>> size_words(2400, 1200, 600, "cm")
    '240 × 120 × 60 cm'
    >>> size_words(2400, None, None, "in")
    '94.5 × ? × ? in'
    >>> size_words(None, None, None, "cm")
    'size not recorded'
    """  # noqa: RUF002 - the sign for "by" is meant
    sides = (length_mm, width_mm, height_mm)
    if not any(sides):
        return tell("size not recorded")
    scale = MM_PER_UNIT[unit]
    shown = ["?" if side is None else in_tenths(side / scale) for side in sides]
    return f"{' × '.join(shown)} {unit}"


def holds_litres(
    length_mm: int | None, width_mm: int | None, height_mm: int | None
) -> float | None:
    """What a box of these sides holds to the brim; None when a side is not known.

    >>> holds_litres(1000, 500, 500)
    250.0
    """
    if length_mm is None or width_mm is None or height_mm is None:
        return None
    return length_mm * width_mm * height_mm / 1e6
