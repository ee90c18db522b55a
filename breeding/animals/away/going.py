"""Where many animals stand, changed one after the other in memory and written in few statements."""

import datetime
from collections.abc import Callable, Iterable
from copy import copy
from typing import Any, TypeVar

from django.core.exceptions import ValidationError

from breeding.animals import revisions
from breeding.animals.away.following import Gone, end_with
from breeding.animals.away.loans import keep_loans
from breeding.animals.models import Animal
from breeding.animals.parents.impossible import settle_birth_precision
from breeding.animals.services import (
    check_animal,
    check_as_parent_of,
    check_counts,
    parents_of,
    young_of,
)
from breeding.program.acts.together import change_together
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import Judged, judging, read_of

Date = datetime.date
OfAnimal = TypeVar("OfAnimal", bound=Any)  # a record with its `animal`


class Standings:
    """Where these animals stand: judged and changed each beside those before it, then written.

    Nobody else changes them, nor who is whose parent, until the transaction ends.
    """

    def __init__(self, keys: Iterable[int]) -> None:
        revisions.hold()
        asked = list(keys)
        locked = Animal.every.select_for_update(of=("self",))
        rows = read_of(locked.prefetch_related("possible_sires"), "pk", asked)
        self.animals = {one.pk: one for one in rows}
        self._young = young_of(self.animals)
        self._steps: dict[int, list[tuple[Animal, Animal]]] = {}  # each as before, and after
        self._gone: dict[int, Gone] = {}
        self._let_parents_be_these()

    def _let_parents_be_these(self) -> None:
        """A parent among them is the same record, so that its young meet it as it stands by now."""
        every, mine = dict(self.animals), list(self.animals.values())
        possible = [row for one in mine for row in one.possible_sires.all()]
        named = {key for one in mine for key in (one.sire_id, one.dam_id)}
        named |= {row.sire_id for row in possible}
        others = (key for key in named if key is not None and key not in every)
        every |= {one.pk: one for one in read_of(Animal.every.all(), "pk", others)}
        for one in mine:
            one.sire = every[one.sire_id] if one.sire_id else None
            one.dam = every[one.dam_id] if one.dam_id else None
        for row in possible:
            row.sire = every[row.sire_id]

    def change(self, animal: Animal, *, state: str, state_on: Date | None) -> None:
        """It stands so now, to be written. Raises ValidationError, and it stands as before, where
        that cannot be."""
        check_counts(animal)
        before = copy(animal)
        animal.state, animal.state_on = state, state_on
        settle_birth_precision(animal)
        try:
            check_as_parent_of(animal, self._young)
            check_animal(animal, parents_of(animal))
        except ValidationError:
            _stand_as(animal, before)
            raise
        self._steps.setdefault(animal.pk, []).append((before, copy(animal)))

    def go(self, animal: Animal, *, state: str, on: Date) -> None:
        """The same of one that leaves or dies: what rests on its being here ends with it."""
        self.change(animal, state=state, state_on=on)
        self._gone[animal.pk] = (animal, on)

    def judging(
        self, row: OfAnimal, judge: Callable[[OfAnimal], Iterable[Doubt]]
    ) -> Judged[OfAnimal]:
        """A record of one of these; where it cannot be, its animal stands as on record, whatever
        `judge` changed of it: that is not written."""
        judged = judging(row, judge)
        if not judged.may_be:
            self._take_back(row.animal)
        return judged

    def _take_back(self, animal: Animal) -> None:
        self._gone.pop(animal.pk, None)
        if steps := self._steps.pop(animal.pk, []):
            _stand_as(animal, steps[0][0])

    def write(self) -> None:
        """All of it, with what follows."""
        steps = [step for its_own in self._steps.values() for step in its_own]
        change_together(steps, ("state", "state_on", "born_precision"))
        keep_loans([(after, before.state, before.state_on) for before, after in steps])
        for key, said in end_with(list(self._gone.values())).items():
            self.animals[key].follows = said
        self._steps, self._gone = {}, {}


def _stand_as(animal: Animal, before: Animal) -> None:
    animal.state, animal.state_on = before.state, before.state_on
    animal.born_precision = before.born_precision
