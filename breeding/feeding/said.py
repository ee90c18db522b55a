"""What sheets, sales pages and hand-overs say of how an animal feeds; writes nothing."""

import datetime
from collections.abc import Iterable, Sequence

from breeding.feeding.appetite import Appetite
from breeding.feeding.models import Meal
from breeding.feeding.queries import LATELY_DAYS, FeedsOn, appetites, feeding_since, feeds_on
from breeding.words.days import long_day
from breeding.words.numbers import joined

Date = datetime.date


def feeding_words(keys: Iterable[int], asof: Date) -> dict[int, str]:
    """By animal, a sentence without its stop; left out is of whom no meal at all is on record."""
    fed = list(Meal.objects.filter(animal__in=keys).values_list("animal", flat=True).distinct())
    known = {key: one for key, one in appetites(fed, asof).items() if one.has_meals} if fed else {}
    foods, since = feeds_on(known, asof, ever=True), feeding_since(known, asof)
    return {key: _sentence(one, foods.get(key, ()), since.get(key)) for key, one in known.items()}


def _sentence(one: Appetite, foods: Sequence[FeedsOn], since: Date | None) -> str:
    """ "mussel since 4 October 2026; by itself since 4 October 2026"."""
    parts = []
    if foods:
        named = joined([f"{food.food} since {long_day(food.first_on)}" for food in foods])
        parts.append(f"{named} (taken in the last {LATELY_DAYS} days)")
    elif one.ate_on:
        parts.append(f"last meal taken on {long_day(one.ate_on)}, which food is not recorded")
    else:
        parts.append("no meal taken is on record")
    if one.is_off_food:
        parts.append(f"refuses food since {long_day(one.refusals[0].on)}")
    elif since and one.is_young:
        parts.append(f"by itself since {long_day(since)}")
    return "; ".join(parts)
