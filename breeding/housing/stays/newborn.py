"""The first stays of young that were just born: with their dam."""

from collections.abc import Iterable

from breeding.animals.models import Animal
from breeding.housing.models import Stay
from breeding.program.acts.together import write_together
from breeding.program.models import Person


def place_newborn(young: Iterable[tuple[Animal, Stay]], *, by: Person | None) -> None:
    """Each into the place of a stay that goes on, as `place` would: it was nowhere before.

    Nobody chooses where pups are born: who must leave is said afterwards.
    """
    write_together(
        [
            Stay(
                animal=animal,
                tank=stay.tank,
                side=stay.side,
                since=max(animal.born_on or stay.since, stay.since),
                recorded_by=by,
            )
            for animal, stay in young
        ]
    )
