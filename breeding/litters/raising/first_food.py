"""When newborn young are offered their first food: by the yolk sac, within a span of days."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from breeding.animals import lineage
from breeding.animals.models import Animal, ProfileFigure
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.animals.species.rules import source_said
from breeding.feeding.models import Meal
from breeding.litters.models import Pup
from breeding.words.language import tell

NAMES = ("first_food_least_days", "first_food_most_days")
ATE = (Meal.Took.ALL, Meal.Took.LITTLE)


@dataclass(frozen=True)
class FirstFood:
    """The days of age between which young on record took their first food."""

    least_days: int
    most_days: int
    key: str  # of the profile

    @property
    def words(self) -> str:
        """As a span, and by the yolk.

        >>> FirstFood(2, 9, "").words
        'First food as the yolk sac goes, on record from day 2 to day 9: look, do not count.'
        """
        return tell(
            "First food as the yolk sac goes, on record from day {least} to day {most}: look, do "
            "not count.",
            least=self.least_days,
            most=self.most_days,
        )

    @property
    def sources(self) -> list[str]:
        """Where the two days come from: one query."""
        rows = ProfileFigure.objects.filter(profile__key=self.key, name__in=NAMES)
        found = {row.name: row.source for row in rows}
        told = (source_said(found[name]) for name in NAMES if name in found)
        return list(dict.fromkeys(told))


def first_food_of(animal: Animal) -> FirstFood:
    """By the figures of its species; no query while these stay as they are."""
    return _by_figures(all_profiles().of(lineage.current().shares.get(animal.pk, {})))


def _by_figures(figures: Figures) -> FirstFood:
    least, most = (round(figures.figure(name)) for name in NAMES)
    return FirstFood(least, most, figures.key)


def have_eaten(animals: Collection[int]) -> set[int]:
    """Those of these that were seen to take food: one query."""
    meals = Meal.objects.filter(animal__in=animals, took__in=ATE)
    return set(meals.filter(feeding__withdrawn_at__isnull=True).values_list("animal", flat=True))


def have_refused(animals: Collection[int]) -> set[int]:
    """Those of these that were offered food and left it: one query."""
    meals = Meal.objects.filter(animal__in=animals, took=Meal.Took.NONE)
    return set(meals.filter(feeding__withdrawn_at__isnull=True).values_list("animal", flat=True))


def yolk_words(pups: Iterable[Pup]) -> str:
    """What was seen of the yolk at birth, of those that have not eaten yet."""
    by_yolk: dict[str, list[str]] = {}
    for pup in pups:
        if pup.yolk:
            by_yolk.setdefault(pup.yolk, []).append(str(pup.number))
    return "; ".join(
        tell("{yolk} at birth: {pups}", yolk=Pup.Yolk(yolk).label, pups=", ".join(numbers))
        for yolk, numbers in by_yolk.items()
    )
