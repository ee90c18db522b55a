"""How amounts of food are said."""

from breeding.words.sizes import GRAMS_PER_OUNCE


def food_amount(grams: float | None, unit: str) -> str:
    """Of food in one round; a tenth of a gram counts.

    >>> food_amount(7.5, "g"), food_amount(60, "g"), food_amount(1500, "g")
    ('7.5 g', '60 g', '1,500 g')
    >>> food_amount(28.35, "oz"), food_amount(None, "g")
    ('1 oz', 'not weighed')
    """
    if grams is None:
        return "not weighed"
    number = float(grams) / (GRAMS_PER_OUNCE if unit == "oz" else 1)
    places = 2 if unit == "oz" and number < 10 else 1
    said = f"{number:,.{places}f}"
    return f"{said.rstrip('0').rstrip('.') if '.' in said else said} {unit}"


def food_span(least: float, most: float, unit: str) -> str:
    """From so much to so much, the unit once.

    >>> food_span(40, 60, "g"), food_span(5, 5, "g")
    ('40 to 60 g', '5 g')
    """
    first, last = food_amount(least, unit), food_amount(most, unit)
    return last if first == last else f"{first.rpartition(' ')[0]} to {last}"
