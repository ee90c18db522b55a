"""Where animals were when, held in memory, as an act that writes many stays is to leave it."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from itertools import count
from typing import NamedTuple

from breeding.housing.models import Stay
from breeding.housing.stays.near import Stretches
from breeding.housing.stays.shared_water import BareStay, Shared, lasted, shared_stretches
from breeding.program.parts import in_parts

Date = datetime.date


class Spent(NamedTuple):
    """A stay as it is on record; `until` None also where one that is gone left it open."""

    animal_id: int
    tank_id: int
    side: str
    since: Date
    until: Date | None
    key: int | None  # of its row; None while it is to be written
    recorded_at: datetime.datetime | None = None  # None likewise

    @property
    def in_order(self) -> tuple[Date, float]:
        """As rows stand by their first days; those that are to be written after the others."""
        return self.since, float("inf") if self.key is None else self.key


class Everywhere:
    """Who was in which tank when, each stay under a number of its own.

    own: animals whose stays are put here by the act that writes them. Those of all others are read
    once, tank by tank: nobody else moves anybody meanwhile.
    """

    def __init__(self, own: Collection[int]) -> None:
        self._own, self._numbers = frozenset(own), count(1)
        self._tanks: set[int] = set()  # that were read
        self._animals: set[int] = set()  # all of whose tanks were read
        self._spent: dict[int, Spent] = {}  # by number, as the next
        self._places: dict[int, BareStay] = {}
        self._ever_in: dict[int, set[int]] = defaultdict(set)  # animals, of each tank
        self._of: dict[int, set[int]] = defaultdict(set)  # numbers, of each animal
        self._inside: dict[int, Stretches[int]] = defaultdict(Stretches)  # numbers, of each tank

    def expect(self, animal: int, tank: int) -> None:
        """By the act that writes them it may come there."""
        self._ever_in[tank].add(animal)

    def number(self) -> int:
        """One that nothing stands under yet."""
        return next(self._numbers)

    def put(self, number: int, stay: Stay) -> None:
        """In place of what stood under the number."""
        spent = Spent(
            *(stay.animal_id, stay.tank_id, stay.side, stay.since, stay.until),
            *(stay.pk, stay.recorded_at),
        )
        self._put(number, spent, stay.animal.state, stay.animal.state_on)

    def take_out(self, number: int) -> None:
        """Nothing stands under the number any more."""
        if number in self._spent:
            spent, _ = self._spent.pop(number), self._places.pop(number)
            self._of[spent.animal_id].discard(number)
            self._inside[spent.tank_id].take_out(number)

    def _put(self, number: int, spent: Spent, state: str, state_on: Date | None) -> None:
        self.take_out(number)
        place = BareStay(*spent[:4], lasted(spent.since, spent.until, state, state_on))
        self._spent[number], self._places[number] = spent, place
        self._of[spent.animal_id].add(number)
        self._ever_in[spent.tank_id].add(spent.animal_id)
        self._inside[spent.tank_id].put(number, number, place.since, place.until)

    def read(self, tanks: Iterable[int]) -> None:
        """Who else was ever in these: one query for many that were not read yet."""
        for keys in in_parts(sorted(set(tanks) - self._tanks)):
            self._tanks.update(keys)
            rows = Stay.objects.filter(tank__in=keys).order_by("since", "pk")
            for *spent, state, state_on in rows.values_list(
                *("animal", "tank", "side", "since", "until", "pk", "recorded_at"),
                *("animal__state", "animal__state_on"),
            ):
                if spent[0] not in self._own:
                    self._put(self.number(), Spent(*spent), state, state_on)

    def read_beside(self, animals: Iterable[int]) -> None:
        """Whoever was ever in a tank in which one of these was: two queries for many."""
        for keys in in_parts(sorted(set(animals) - self._animals)):
            self._animals.update(keys)
            stays = Stay.objects.filter(animal__in=keys).order_by()
            self.read(stays.values_list("tank", flat=True).distinct())

    def near(self, tank: int, since: Date, until: Date | None) -> Iterator[BareStay]:
        """Who was in a tank that was read on a day within these, the first and the last counted."""
        return (self._places[number] for number in self._inside[tank].near(since, until))

    def inside(self, tank: int, since: Date, until: Date) -> list[Spent]:
        """The same as they are on record, by their first days."""
        near = (self._spent[number] for number in self._inside[tank].near(since, until))
        return sorted(near, key=lambda one: one.in_order)

    def inside_now(self, tank: int) -> list[int]:
        """Who is in a tank that was read, as `present_stays` has them, who came last first."""
        numbers = self._inside[tank].going_on()
        spent = sorted((self._spent[number] for number in numbers), key=lambda one: one.in_order)
        return [one.animal_id for one in reversed(spent)]

    def stays_of(self, animal: int) -> list[Spent]:
        return [self._spent[number] for number in sorted(self._of[animal])]

    def ever_in(self, tank: int) -> set[int]:
        """Who may ever have been in a tank that was read, or may come there."""
        return set(self._ever_in[tank])

    def tanks(self) -> set[int]:
        """That were read, or in which anybody is known to have been."""
        return self._tanks | {spent.tank_id for spent in self._spent.values()}

    def everybody(self) -> set[int]:
        """Who was ever in a tank that was read."""
        return {key for key, numbers in self._of.items() if numbers}

    def shared(self, animal: int, others: Collection[int]) -> list[Shared]:
        """When one was in one water with others, in the tanks that were read."""
        mine = [self._places[number] for number in sorted(self._of[animal])]
        beside = {
            place: None
            for own in mine
            for place in self.near(own.tank, own.since, own.until)
            if place.animal in others
        }
        return shared_stretches([*mine, *beside], [animal], others)
