"""How amounts of food are said."""

from breeding.words.language import says, tell
from breeding.words.numbers import figure
from breeding.words.sizes import GRAMS_PER_OUNCE


@says
def food_amount(grams: float | None, unit: str) -> str:
    """Of food in one round; a tenth of a gram counts.

    >>> food_amount(7.5, "g"), food_amount(60, "g"), food_amount(1500, "g")
    ('7.5 g', '60 g', '1,500 g')
    >>> food_amount(28.35, "oz"), food_amount(None, "g")
    ('1 oz', 'not weighed')
    """
    if grams is None:
        return tell("not weighed")
    return f"{_number(grams, unit)} {unit}"


def _number(grams: float, unit: str) -> str:
    number = float(grams) / (GRAMS_PER_OUNCE if unit == "oz" else 1)
    places = 2 if unit == "oz" and number < 10 else 1
    return figure(number, places, grouped=True, trimmed=True)


def food_span(least: float, most: float, unit: str) -> str:
    """From so much to so much, the unit once.

    >>> food_span(40, 60, "g"), food_span(5, 5, "g")
    ('40 to 60 g', '5 g')
    """
    first, last = _number(least, unit), food_amount(most, unit)
    if first == _number(most, unit):
        return last
    return tell("{least} to {most}", least=first, most=last)
