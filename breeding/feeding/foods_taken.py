"""What each animal feeds on: the foods that it took lately."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from django.db.models import Count, Max, Min, Q

from breeding.feeding.models import Meal
from breeding.feeding.queries import DAY, LATELY_DAYS, counting_meals, day_of, end_of

Date = datetime.date
ALL = Meal.Took.ALL


class FeedsOn(NamedTuple):
    """A food that it took lately: how often, and from when to when."""

    food: str
    times: int
    first_on: Date
    last_on: Date


def feeds_on(
    keys: Iterable[int], asof: Date, *, days: int = LATELY_DAYS, ever: bool = False
) -> dict[int, tuple[FeedsOn, ...]]:
    """The foods that each took in the last days, those taken most often first: one query.

    ever: `first_on` is the first time at all that it took the food. Only
    whom something is on record of; what nobody named is left out.
    """
    until = end_of(asof)
    lately = Q(fed_at__gte=until - days * DAY)
    taken = counting_meals().filter(animal__in=set(keys), took=ALL, fed_at__lt=until)
    taken = taken.filter(feeding__food__isnull=False)
    counted = taken if ever else taken.filter(lately)
    rows = counted.values("animal", "feeding__food__name").annotate(
        times=Count("pk", filter=lately), first=Min("fed_at"), last=Max("fed_at")
    )
    found: dict[int, list[FeedsOn]] = defaultdict(list)
    for animal, food, times, first, last in rows.values_list(
        "animal", "feeding__food__name", "times", "first", "last"
    ):
        if times:
            found[animal].append(FeedsOn(food, times, day_of(first), day_of(last)))
    return {
        key: tuple(sorted(foods, key=lambda one: (-one.times, one.food)))
        for key, foods in found.items()
    }


def feeds_on_of(meals: Sequence[Meal], asof: Date, *, is_all: bool) -> tuple[FeedsOn, ...]:
    """The same of one animal whose latest meals are read already, with their feeding and food.

    is_all: there are no others; else they are asked for where these do not reach back far enough.
    """
    since, until = end_of(asof) - LATELY_DAYS * DAY, end_of(asof)
    if not meals:
        return ()
    if not is_all and meals[-1].fed_at >= since:
        return feeds_on([meals[0].animal_id], asof).get(meals[0].animal_id, ())
    times: dict[str, list[Date]] = defaultdict(list)
    for one in reversed(meals):
        food = one.feeding.food
        if food is not None and one.took == ALL and since <= one.fed_at < until:
            times[food.name].append(day_of(one.fed_at))
    found = [FeedsOn(food, len(on), on[0], on[-1]) for food, on in times.items()]
    return tuple(sorted(found, key=lambda one: (-one.times, one.food)))
