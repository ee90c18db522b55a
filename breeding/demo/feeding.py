"""The demonstration's rounds of feeding: the last weeks of every tank, written in bulk."""

import datetime
from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal

from breeding.animals.models import Animal
from breeding.demo.acts import House
from breeding.feeding.models import Feeding, Food, Meal
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import stays_over

WEEKS_DAYS = 35
FOODS = ("Tank worms", "Mussel", "Smelt", "Pellets", "Prawn")
DAILY = (Tank.Kind.GROWING, Tank.Kind.NURSERY)
FIRST_FOOD_DAYS = 5  # a newborn lives on its yolk before
YOUNG_DAYS, SMALL_DAYS = 365, 120
GROWN_G, YOUNG_G, SMALL_G = Decimal(48), Decimal(12), Decimal(2)
REFUSED_DAYS = (1, 2)  # days ago on which the youngest leaves its food


def feed_lately(house: House) -> None:
    """Who was in a tank was fed there; the smallest of the youngest refuses at the end."""
    foods = [Food.objects.create(name=name, recorded_by=house.people["sam"]) for name in FOODS]
    rounds, eaters = [], []
    picky = _youngest(house)
    for days_ago in range(WEEKS_DAYS, 0, -1):
        on = house.day(days_ago)
        for number, (tank, fed) in enumerate(_fed_on(on)):
            if tank.kind not in DAILY and (days_ago + number) % 2:
                continue
            rounds.append(_round(house, on, tank, foods[(days_ago + number) % len(foods)], fed))
            eaters.append({one: _took(one, picky, days_ago, number) for one in fed})
    written = Feeding.objects.bulk_create(rounds)
    Meal.objects.bulk_create(
        Meal(feeding=one, animal=animal, took=took, fed_at=one.fed_at)
        for one, took_of in zip(written, eaters, strict=True)
        for animal, took in took_of.items()
    )


def _youngest(house: House) -> Animal | None:
    stays = Stay.objects.filter(until__isnull=True, animal__state=Animal.State.HERE)
    old_enough = house.day(FIRST_FOOD_DAYS + max(REFUSED_DAYS) + 1)
    young = stays.filter(animal__born_on__lte=old_enough).select_related("animal")
    last = young.order_by("animal__born_on", "animal__code").last()
    return last.animal if last else None


def _fed_on(on: datetime.date) -> Iterator[tuple[Tank, list[Animal]]]:
    found: dict[Tank, list[Animal]] = defaultdict(list)
    for stay in stays_over(on).select_related("animal", "tank").order_by("tank", "pk"):
        born = stay.animal.born_on
        if born is None or (on - born).days >= FIRST_FOOD_DAYS:
            found[stay.tank].append(stay.animal)
    yield from found.items()


def _round(house: House, on: datetime.date, tank: Tank, food: Food, fed: list[Animal]) -> Feeding:
    at = datetime.time(8, 10) if tank.kind in DAILY else datetime.time(19, 20)
    return Feeding(
        food=food,
        fed_at=datetime.datetime.combine(on, at, tzinfo=house.program.zone),
        tank=tank,
        amount_g=sum((_grams(one, on) for one in fed), Decimal()),
        recorded_by=house.people["sam" if on.weekday() < 5 else "jo"],
    )


def _grams(animal: Animal, on: datetime.date) -> Decimal:
    days = (on - animal.born_on).days if animal.born_on else YOUNG_DAYS
    return SMALL_G if days < SMALL_DAYS else YOUNG_G if days < YOUNG_DAYS else GROWN_G


def _took(animal: Animal, picky: Animal | None, days_ago: int, number: int) -> str:
    if animal == picky and days_ago in REFUSED_DAYS:
        return Meal.Took.NONE
    return Meal.Took.LITTLE if (animal.pk + 5 * days_ago + number) % 61 == 0 else Meal.Took.ALL
