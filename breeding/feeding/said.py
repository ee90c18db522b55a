"""What sheets, sales pages and hand-overs say of how an animal feeds; writes nothing."""

import datetime
from collections.abc import Iterable, Sequence

from breeding.feeding.appetite import Appetite
from breeding.feeding.foods_taken import FeedsOn, feeds_on
from breeding.feeding.queries import LATELY_DAYS, appetites, counting_meals, end_of, feeding_since
from breeding.words.days import long_day
from breeding.words.language import message, tell
from breeding.words.numbers import joined

Date = datetime.date
OFFERED = message("food was offered, and nobody saw whether it was taken")


def feeding_words(keys: Iterable[int], asof: Date) -> dict[int, str]:
    """By animal, a sentence without its stop; left out is of whom no meal at all is on record.

    Of food that was offered and that nobody watched, it says just that.
    """
    meals = counting_meals().filter(animal__in=keys, fed_at__lt=end_of(asof))
    fed = set(meals.values_list("animal", flat=True).distinct())
    known = {key: one for key, one in appetites(fed, asof).items() if one.has_meals} if fed else {}
    foods, since = feeds_on(known, asof, ever=True), feeding_since(known, asof)
    said = {key: _sentence(one, foods.get(key, ()), since.get(key)) for key, one in known.items()}
    return dict.fromkeys(fed, tell(OFFERED)) | said


def _sentence(one: Appetite, foods: Sequence[FeedsOn], since: Date | None) -> str:
    """ "mussel since 4 October 2026; by itself since 4 October 2026"."""
    parts = []
    if foods:
        since_when = [
            tell("{food} since {day}", food=food.food, day=long_day(food.first_on))
            for food in foods
        ]
        parts.append(
            tell(
                "{foods} (taken in the last {days} days)",
                foods=joined(since_when),
                days=LATELY_DAYS,
            )
        )
    elif one.ate_on:
        day = long_day(one.ate_on)
        parts.append(tell("last meal taken on {day}, which food is not recorded", day=day))
    else:
        parts.append(tell("no meal taken is on record"))
    if one.is_off_food:
        parts.append(tell("refuses food since {day}", day=long_day(one.refusals[0].on)))
    elif since and one.is_young:
        parts.append(tell("by itself since {day}", day=long_day(since)))
    return "; ".join(parts)
