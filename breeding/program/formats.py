"""How dates, sizes and shares are written: exact inside, rounded only here."""

import datetime
from collections.abc import Sequence
from fractions import Fraction

MM_PER_UNIT = {"cm": 10.0, "in": 25.4}
GRAMS_PER_OUNCE = 28.349523125


def plain_day(on: datetime.date) -> str:
    """Tue 3 Mar 2026."""
    return f"{on:%a} {on.day} {on:%b} {on.year}"


def near_day(on: datetime.date, today: datetime.date) -> str:
    """Tue 3 Mar, with the year only when it is not this one."""
    return f"{on:%a} {short_day(on, today)}"


def counted(number: int, one: str) -> str:
    """1 pup, 3 pups."""
    return f"{number} {one}" if number == 1 else f"{number} {one}s"


def long_day(on: datetime.date) -> str:
    """3 March 2026."""
    return f"{on.day} {on:%B} {on.year}"


def short_day(on: datetime.date, today: datetime.date) -> str:
    """3 Mar, with the year when it is not this one."""
    return f"{on.day} {on:%b}" + ("" if on.year == today.year else f" {on.year}")


def distance(on: datetime.date, today: datetime.date) -> str:
    """In how many days or how long ago; months from four months on, years from two years on."""
    days = (on - today).days
    if days == 0:
        return "today"
    if days == 1:
        return "tomorrow"
    if days == -1:
        return "yesterday"
    if abs(days) < 120:
        far = f"{abs(days)} days"
    elif abs(days) < 730:
        far = f"{int(abs(days) / 30.44)} months"
    else:
        far = f"{int(abs(days) / 365.25)} years"
    return f"in {far}" if days > 0 else f"{far} ago"


def day_with_distance(on: datetime.date, today: datetime.date) -> str:
    """Tue 3 Mar 2026 (in 12 days)."""
    return f"{plain_day(on)} ({distance(on, today)})"


def born_words(born_on: datetime.date | None, precision: str) -> str:
    """A birth date no more exact than it is known."""
    if born_on is None:
        return "unknown"
    if precision == "year":
        return f"{born_on.year}"
    if precision == "month":
        return f"{born_on:%B} {born_on.year}"
    return long_day(born_on)


def length(millimetres: float | None, unit: str) -> str:
    """38.2 cm or 15.0 in."""
    if millimetres is None:
        return "unknown"
    return f"{millimetres / MM_PER_UNIT[unit]:.1f} {unit}"


def weight(grams: float | None, unit: str) -> str:
    """450 g, 1.24 kg, 15.9 oz or 2.4 lb."""
    if grams is None:
        return "unknown"
    if unit == "oz":
        ounces = grams / GRAMS_PER_OUNCE
        return f"{ounces:.1f} oz" if ounces < 32 else f"{ounces / 16:.1f} lb"
    return f"{grams:.0f} g" if grams < 1000 else f"{grams / 1000:.2f} kg"


def percent(share: float | Fraction) -> str:
    """A share as a percentage, with no more digits than help: 12.5 %, 0.78 %, 3.125 %."""
    value = float(share) * 100
    if value == 0:
        return "0 %"
    if value < 0.001:
        return "less than 0.001 %"
    if value < 1:
        text = f"{value:.2g}"
    elif value < 10:
        text = f"{value:.3f}"
    else:
        text = f"{value:.1f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{text} %"


def chance(share: float) -> str:
    """A chance in whole per cent, never written as certain when it is not."""
    if share <= 0:
        return "0 %"
    if share <= 0.005:
        return "under 1 %"
    if share >= 0.995:
        return "over 99 %"
    return f"{share * 100:.0f} %"


def joined(parts: list[str], last: str = "and") -> str:
    """a, b and c."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"


def some(names: Sequence[str], most: int) -> str:
    """So many names that one reads, and how many more there are.

    >>> some(["Rigel", "Spica"], 2), some(["Rigel", "Spica", "Mizar"], 2)
    ('Rigel and Spica', 'Rigel, Spica and 1 more')
    """
    more = len(names) - most
    return joined([*names[:most], f"{more} more"] if more > 0 else list(names))
