"""Many stays written down late: those from which nothing follows, in few statements."""

import datetime
from collections import defaultdict
from collections.abc import Collection
from copy import copy
from itertools import count

from django.core.exceptions import ValidationError

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.checks import in_the_way_words
from breeding.housing.stays.corrections import check_days
from breeding.housing.stays.near import Stretches
from breeding.housing.stays.shared_water import Place, place_of, places_in, shared_stretches
from breeding.housing.stays.timeline import Cut, InTheWay, Spell, make_room
from breeding.program.acts.together import keep_changes, write_together
from breeding.program.models import Person
from breeding.program.parts import AT_ONCE, in_parts

Date = datetime.date


class EarlierStays:
    """Stays of these animals in these tanks, and those that are to be written beside them.

    One that brings nobody together asks nothing: it is held, with what it cuts of others of its
    animal, and written with the next ones. Whoever holds such ones calls `write` before anybody
    asks the database. Nobody else moves the animals until the transaction ends.
    """

    def __init__(
        self, animals: Collection[int], tanks: Collection[int], *, by: Person | None
    ) -> None:
        self._by, self._number = by, count(1)
        self._held: dict[int, Stay] = {}  # by number, as all that follow
        self._made: list[Stay] = []  # the same as they were when they were made
        self._cut: dict[int, Stay] = {}  # of those on record
        self._steps: list[tuple[Stay, Stay, Stay]] = []  # what was cut, before and after it
        self._stays: dict[int, dict[int, Stay]] = {}  # of each animal
        self._spells: dict[int, Stretches[Spell]] = {}  # of each animal
        self._inside: dict[int, Stretches[Place]] = defaultdict(Stretches)  # of each tank
        for keys in in_parts(sorted(set(animals))):
            list(Animal.objects.select_for_update().filter(pk__in=keys).values_list("pk"))
            self._read_stays(keys)
        for keys in in_parts(sorted(set(tanks))):
            for place in places_in(keys):
                if place.animal not in self._stays:
                    number = next(self._number)
                    self._inside[place.tank].put(number, place, place.since, place.until)

    def take(self, animal: Animal, tank: Tank, *, since: Date, until: Date) -> Stay | None:
        """Held, to be written; None for one that is for `record_earlier_stay`, after `write`.

        Raises ValidationError as that does.
        """
        check_days(animal, since, until)
        stays, spell = self._stays[animal.pk], Spell(since, until, (tank.pk, ""))
        near = sorted(self._spells[animal.pk].near(since, until), key=lambda one: one.since)
        try:
            cuts = make_room(near, spell)
        except InTheWay as found:
            raise ValidationError(
                [in_the_way_words(animal, stays[one.key]) for one in found.spells]
            ) from None
        stay = Stay(animal=animal, tank=tank, since=since, until=until, recorded_by=self._by)
        if self._meets_somebody(place_of(stay)):
            return None
        for cut in cuts:
            self._make_cut(animal, cut)
        self._hold(stay)
        return stay

    def write(self) -> None:
        """Those that are held, in their order, and before them what is cut."""
        Stay.objects.bulk_update(self._cut.values(), ["since", "until"], batch_size=AT_ONCE)
        # In the history, too: who undoes it takes out what was made before the cut one goes on.
        keep_changes([(before, after) for stay, before, after in self._steps if stay.pk])
        of_made = [step for step in self._steps if not step[0].pk]
        write_together(list(self._held.values()), as_made=self._made)
        for stay, before, after in of_made:
            before.pk = after.pk = stay.pk
        keep_changes([(before, after) for _, before, after in of_made])
        self._held, self._made, self._cut, self._steps = {}, [], {}, []

    def read_again(self, animal: Animal) -> None:
        """An act of its own has written stays of this animal."""
        self._read_stays([animal.pk])

    def _read_stays(self, animals: Collection[int]) -> None:
        for key in animals:
            for number, stay in self._stays.get(key, {}).items():
                self._inside[stay.tank_id].take_out(number)
            self._stays[key], self._spells[key] = {}, Stretches()
        stays = Stay.objects.filter(animal__in=animals).select_related("animal", "tank")
        for stay in stays.order_by("pk"):
            self._lay_out(next(self._number), stay)

    def _lay_out(self, number: int, stay: Stay) -> None:
        """Where its animal was when, by one of its stays that is new or has other days."""
        self._stays[stay.animal_id][number] = stay
        spell = Spell(stay.since, stay.until, (stay.tank_id, stay.side), number)
        self._spells[stay.animal_id].put(number, spell, stay.since, stay.until)
        place = place_of(stay)
        self._inside[stay.tank_id].put(number, place, place.since, place.until)

    def _hold(self, stay: Stay) -> None:
        number = next(self._number)
        self._held[number] = stay
        self._made.append(copy(stay))
        self._lay_out(number, stay)

    def _make_cut(self, animal: Animal, cut: Cut) -> None:
        """One that is on record ends or begins with the new one; after it goes on what was left."""
        stay = self._stays[animal.pk][cut.spell.key]
        before = copy(stay)
        if cut.spell.key not in self._held:
            self._cut[cut.spell.key] = stay
        if cut.before is not None:
            stay.until = cut.before[1]
            if cut.after is not None:
                since, until = cut.after
                what_was_left = Stay(
                    animal=animal,
                    tank=stay.tank,
                    side=stay.side,
                    since=since,
                    until=until,
                    reason=stay.reason,
                    recorded_by=self._by,
                )
                self._hold(what_was_left)
        elif cut.after is not None:
            stay.since = cut.after[0]
        self._lay_out(cut.spell.key, stay)
        self._steps.append((stay, before, copy(stay)))

    def _meets_somebody(self, new: Place) -> bool:
        places = self._inside[new.tank].near(new.since, new.until)
        near = [one for one in places if one.animal != new.animal]
        others = {one.animal for one in near}
        return bool(near) and bool(shared_stretches([new, *near], [new.animal], others))
