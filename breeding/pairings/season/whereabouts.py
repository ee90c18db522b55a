"""Where animals were on a day as far as is on record: whether two can have met."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from breeding.animals.away.gone import GONE
from breeding.animals.away.loans import Away
from breeding.animals.models import Animal
from breeding.housing.models import Stay
from breeding.housing.stays.everywhere import Spent
from breeding.housing.stays.shared_water import share_water

Date = datetime.date


@dataclass(frozen=True)
class Whereabouts:
    """The stays of some animals by key, and on which days they are or were on loan."""

    stays: Mapping[int, Sequence[Stay | Spent]] = field(default_factory=dict)
    loans: Mapping[int, Sequence[Away]] = field(default_factory=dict)

    def is_placed(self, animal: int, on: Date) -> bool:
        """Whether it is on record in a tank on a day."""
        return bool(self._on(animal, on)) and not self.is_lent(animal, on)

    def is_lent(self, animal: int, on: Date) -> bool:
        """Whether it is on loan on a day: with whom, nobody knows."""
        return any(away.holds(on) for away in self.loans.get(animal, ()))

    def are_apart(self, one: Animal, other: Animal, on: Date) -> bool:
        """Whether records say that the two cannot have met on a day: gone, or in other water.

        Of one that is on loan nobody knows: neither apart nor together.
        """
        if _is_gone(one, on) or _is_gone(other, on):
            return True
        if self.is_lent(one.pk, on) or self.is_lent(other.pk, on):
            return False
        here, there = self._on(one.pk, on), self._on(other.pk, on)
        if not here or not there:
            return False
        return not any(share_water(his, hers) for his in here for hers in there)

    def _on(self, animal: int, on: Date) -> list[Stay | Spent]:
        return [
            stay
            for stay in self.stays.get(animal, ())
            if stay.since <= on and (stay.until is None or on <= stay.until)
        ]


def whereabouts_of(animals: Collection[int], loans: Mapping[int, Sequence[Away]]) -> Whereabouts:
    """The stays of these animals: one query."""
    found: dict[int, list[Stay]] = defaultdict(list)
    if animals:
        for stay in Stay.objects.filter(animal__in=animals).select_related("tank"):
            found[stay.animal_id].append(stay)
    return Whereabouts(dict(found), loans)


def _is_gone(animal: Animal, on: Date) -> bool:
    """Gone since a day before."""
    return animal.state in GONE and animal.state_on is not None and animal.state_on < on
