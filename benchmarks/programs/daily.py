"""A house with ten years of daily rows: written in bulk, the same for the same seed.

Thirty grown animals in ten tanks, thirty young of three litters in three more, and many that are
gone; measurements, feedings and water tests spread evenly over the days.
"""

import datetime
import random
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from breeding.animals.models import Animal, Measurement
from breeding.feeding.models import Feeding, Food, Meal
from breeding.housing.models import Stay, Tank
from breeding.housing.water.models import WaterTest
from breeding.litters.births.facts import PupFacts
from breeding.litters.models import Litter
from breeding.litters.services import record_birth
from breeding.program.models import Person
from tests import cast

YEARS = 10
MEASUREMENTS, FEEDINGS, WATER_TESTS = 10_000, 20_000, 20_000  # in ten years
GROWN, GONE, TANKS, LITTERS, PUPS = 30, 170, 10, 3, 10
AT_ONCE = 2_000
DAY = datetime.timedelta(days=1)


@dataclass
class House:
    """Who is here and where, before anything daily is written."""

    by: Person
    today: datetime.date
    grown: list[Animal]
    gone: list[Animal]
    pups: list[Animal]
    tanks: list[Tank]  # with the grown, and after them those with the young
    litters: list[Litter]
    foods: list[Food]

    def in_tank(self, number: int) -> list[Animal]:
        """The animals of a tank, by its place in the list."""
        if number < TANKS:
            return self.grown[number::TANKS]
        return self.pups[number - TANKS :: LITTERS]

    def latest_feeding(self) -> Feeding:
        """The newest round; before the first one is written, one of a moment ago."""
        newest = Feeding.objects.order_by("fed_at").last()
        return newest or Feeding.objects.create(
            food=self.foods[0], tank=self.tanks[-1], fed_at=timezone.now(), recorded_by=self.by
        )


def build_house(by: Person, today: datetime.date, *, grown: int = GROWN, gone: int = GONE) -> House:
    """Animals, tanks and litters; a tank holds females or males."""
    long_ago = today - YEARS * 365 * DAY
    rays = [
        cast.ray(f"Grown {n}", "F" if n % TANKS < TANKS // 2 else "M", born_on=long_ago)
        for n in range(grown)
    ]
    left = [cast.ray(f"Gone {n}", "FM"[n % 2], born_on=long_ago) for n in range(gone)]
    Animal.objects.filter(pk__in=[one.pk for one in left]).update(state="left", state_on=today)
    tanks = [Tank.objects.create(name=f"Tank {n}", kind="breeding") for n in range(TANKS)]
    tanks += [Tank.objects.create(name=f"Nursery {n}", kind="growing") for n in range(LITTERS)]
    house = House(by, today, rays, left, [], tanks, [], _foods(by))
    for number, dam in enumerate(rays[:LITTERS]):
        house.litters.append(_litter(dam, today - (60 + 40 * number) * DAY, house))
    by_litter = [
        [one.animal for one in litter.pups.order_by("number") if one.animal]
        for litter in house.litters
    ]
    # By turns, so that each tank has one litter.
    house.pups = [pups[place] for place in range(PUPS) for pups in by_litter]
    Stay.objects.all().delete()
    Stay.objects.bulk_create(
        Stay(animal=one, tank=tank, since=one.born_on or long_ago, recorded_by=by)
        for number, tank in enumerate(tanks)
        for one in house.in_tank(number)
    )
    return house


def _foods(by: Person) -> list[Food]:
    names = ("Tank worms", "Smelt", "Pellets")
    return [Food.objects.get_or_create(name=one, defaults={"recorded_by": by})[0] for one in names]


def _litter(dam: Animal, born_on: datetime.date, house: House) -> Litter:
    pups = [PupFacts(sex="FM"[n % 2], disc_width_mm=95) for n in range(PUPS)]
    return record_birth(dam=dam, born_on=born_on, pups=pups, today=house.today, by=house.by)


def write_years(house: House, first: int, last: int, *, share: float = 1.0) -> None:
    """The daily rows of some years back: from `first` (0: the last twelve months) up to `last`.

    share: of the rows of ten years, so that a test writes few.
    """
    days = (last - first) * 365
    part = (last - first) / YEARS * share
    draw = random.Random(first * 100 + last)  # noqa: S311  (the same rows each time)

    def moments(number: int) -> list[datetime.datetime]:
        noon = timezone.make_aware(datetime.datetime.combine(house.today, datetime.time(12)))
        back = noon - (first * 365 + 1) * DAY
        return [back - DAY * (days * n / max(number, 1)) for n in range(number)]

    _water(house, moments(round(WATER_TESTS * part)))
    _feedings(house, moments(round(FEEDINGS * part)), draw)
    _measurements(house, moments(round(MEASUREMENTS * part)), draw)


def _water(house: House, moments: list[datetime.datetime]) -> None:
    WaterTest.objects.bulk_create(
        (
            WaterTest(
                tank=house.tanks[n % len(house.tanks)],
                tested_at=at,
                ph=Decimal("6.8") + Decimal(n % 5) / 10,
                temperature_c=Decimal(27) + Decimal(n % 7) / 10,
                ammonia_mg_l=Decimal(0),
                nitrite_mg_l=Decimal(0),
                nitrate_mg_l=Decimal(10 + n % 10),
                recorded_by=house.by,
            )
            for n, at in enumerate(moments)
        ),
        batch_size=AT_ONCE,
    )


def _feedings(house: House, moments: list[datetime.datetime], draw: random.Random) -> None:
    rounds = Feeding.objects.bulk_create(
        (
            Feeding(
                food=house.foods[n % len(house.foods)],
                fed_at=at,
                tank=house.tanks[n % len(house.tanks)],
                amount_g=20,
                recorded_by=house.by,
            )
            for n, at in enumerate(moments)
        ),
        batch_size=AT_ONCE,
    )
    Meal.objects.bulk_create(
        (
            Meal(
                feeding=round_,
                animal=animal,
                fed_at=round_.fed_at,
                took="none" if draw.random() < 0.03 else "all",
            )
            for n, round_ in enumerate(rounds)
            for animal in house.in_tank(n % len(house.tanks))
            if animal.born_on is None or animal.born_on <= round_.fed_at.date()
        ),
        batch_size=AT_ONCE,
    )


def _measurements(house: House, moments: list[datetime.datetime], draw: random.Random) -> None:
    """Of the young weekly at most; of the grown and the gone all others, by turns."""
    grown = [*house.grown, *house.gone]
    rows = []
    for n, at in enumerate(moments):
        animal, width = grown[n % len(grown)], 400 + n % 7
        if n % 3 == 0 and house.pups:
            pup = house.pups[n // 3 % len(house.pups)]
            if pup.born_on is not None and pup.born_on < at.date():
                animal = pup
                width = 95 + (at.date() - pup.born_on).days + draw.randrange(4)
        rows.append(
            Measurement(
                animal=animal,
                on=at.date(),
                disc_width_mm=width,
                weight_g=round(0.0586 * (width / 10) ** 2.9285),
                condition=3,
                recorded_by=house.by,
            )
        )
    Measurement.objects.bulk_create(rows, batch_size=AT_ONCE)
