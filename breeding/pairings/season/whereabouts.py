"""Where animals were on a day as far as is on record: whether two can have met."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from breeding.animals.models import Animal
from breeding.housing.models import GONE, Stay
from breeding.housing.shared_water import share_water

Date = datetime.date


@dataclass(frozen=True)
class Whereabouts:
    """The stays of some animals by key, and since when they are away."""

    stays: Mapping[int, list[Stay]] = field(default_factory=dict)

    def is_placed(self, animal: int, on: Date) -> bool:
        """Whether it is on record in a tank on a day."""
        return bool(self._on(animal, on))

    def are_apart(self, one: Animal, other: Animal, on: Date) -> bool:
        """Whether records say that the two cannot have met on a day: away, or in other water."""
        if _is_away(one, on) or _is_away(other, on):
            return True
        here, there = self._on(one.pk, on), self._on(other.pk, on)
        if not here or not there:
            return False
        return not any(share_water(his, hers) for his in here for hers in there)

    def _on(self, animal: int, on: Date) -> list[Stay]:
        return [
            stay
            for stay in self.stays.get(animal, ())
            if stay.since <= on and (stay.until is None or on <= stay.until)
        ]


def whereabouts_of(animals: Collection[int]) -> Whereabouts:
    """The stays of these animals: one query."""
    found: dict[int, list[Stay]] = defaultdict(list)
    if animals:
        for stay in Stay.objects.filter(animal__in=animals).select_related("tank"):
            found[stay.animal_id].append(stay)
    return Whereabouts(dict(found))


def _is_away(animal: Animal, on: Date) -> bool:
    """Gone or on loan since a day before."""
    away = animal.state in (*GONE, Animal.State.ON_LOAN)
    return away and animal.state_on is not None and animal.state_on < on
