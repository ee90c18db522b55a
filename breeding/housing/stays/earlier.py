"""Many stays written down late: those from which nothing follows, in few statements."""

import datetime
from bisect import insort
from collections import defaultdict
from collections.abc import Collection, Iterator
from itertools import count

from django.core.exceptions import ValidationError

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.checks import in_the_way_words
from breeding.housing.stays.corrections import check_days
from breeding.housing.stays.shared_water import Place, place_of, places_in, shared_stretches
from breeding.housing.stays.timeline import InTheWay, Spell, make_room
from breeding.program.acts.together import write_together
from breeding.program.models import Person

Date = datetime.date

AT_ONCE = 500  # records asked of in one query


class EarlierStays:
    """Stays of these animals in these tanks, and those that are to be written beside them.

    One that cuts no other and brings nobody together asks nothing: it is held, and written with
    the next ones. Whoever holds such ones calls `write` before anybody asks the database. Nobody
    else moves the animals until the transaction ends.
    """

    def __init__(
        self, animals: Collection[int], tanks: Collection[int], *, by: Person | None
    ) -> None:
        self._by, self._held, self._number = by, list[Stay](), count(1)
        self._stays: dict[int, dict[int, Stay]] = {}  # by animal and number
        self._spells: dict[int, list[Spell]] = defaultdict(list)  # by animal, the oldest first
        self._inside: dict[int, dict[int, list[Place]]] = defaultdict(dict)  # by tank and animal
        for keys in _parts(animals):
            self._stays.update((key, {}) for key in keys)
            list(Animal.objects.select_for_update().filter(pk__in=keys).values_list("pk"))
            self._read_stays(keys)
        for keys in _parts(tanks):
            for place in places_in(keys):
                if place.animal not in self._stays:
                    self._keep_place(place)

    def take(self, animal: Animal, tank: Tank, *, since: Date, until: Date) -> Stay | None:
        """Held, to be written; None for one that is for `record_earlier_stay`, after `write`.

        Raises ValidationError as that does.
        """
        check_days(animal, since, until)
        stays, spell = self._stays[animal.pk], Spell(since, until, (tank.pk, ""))
        try:
            cuts = make_room(self._spells[animal.pk], spell)
        except InTheWay as found:
            raise ValidationError(
                [in_the_way_words(animal, stays[one.key]) for one in found.spells]
            ) from None
        stay = Stay(animal=animal, tank=tank, since=since, until=until, recorded_by=self._by)
        if cuts or self._meets_somebody(place_of(stay)):
            return None
        self._keep(stay)
        self._held.append(stay)
        return stay

    def write(self) -> None:
        """Those that are held, in their order."""
        write_together(self._held)
        self._held = []

    def read_again(self, animal: Animal) -> None:
        """An act of its own has written stays of this animal."""
        self._stays[animal.pk], self._spells[animal.pk] = {}, []
        for inside in self._inside.values():
            inside.pop(animal.pk, None)
        self._read_stays([animal.pk])

    def _read_stays(self, animals: Collection[int]) -> None:
        stays = Stay.objects.filter(animal__in=animals).select_related("animal", "tank")
        for stay in stays.order_by("since", "pk"):
            self._keep(stay)

    def _keep(self, stay: Stay) -> None:
        number = next(self._number)
        spell = Spell(stay.since, stay.until, (stay.tank_id, stay.side), number)
        insort(self._spells[stay.animal_id], spell, key=lambda one: one.since)
        self._stays[stay.animal_id][number] = stay
        self._keep_place(place_of(stay))

    def _keep_place(self, place: Place) -> None:
        self._inside[place.tank].setdefault(place.animal, []).append(place)

    def _meets_somebody(self, new: Place) -> bool:
        until = new.until or Date.max
        near = [
            one
            for animal, places in self._inside[new.tank].items()
            if animal != new.animal
            for one in places
            if one.since <= until and (one.until is None or one.until >= new.since)
        ]
        others = {one.animal for one in near}
        return bool(near) and bool(shared_stretches([new, *near], [new.animal], others))


def _parts(keys: Collection[int]) -> Iterator[list[int]]:
    every = sorted(set(keys))
    return (every[begin : begin + AT_ONCE] for begin in range(0, len(every), AT_ONCE))
