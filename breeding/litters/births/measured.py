"""What was measured of the pups of many births: written together, and what is asked of each."""

import datetime
from collections.abc import Iterable, Mapping, Sequence

from breeding.animals.models import Animal, Measurement
from breeding.animals.weighing.acts import add_measurements
from breeding.litters.models import Pup
from breeding.program.models import Person
from breeding.program.problems.doubts import Doubt

Sizes = Mapping[str, int | None]
Asked = tuple[tuple[Doubt, ...], ...]  # what is asked at once, one after the other


def sizes_of_pups(pups: Iterable[Pup], by: Person | None) -> list[Measurement]:
    """The first sizes of those that are animals, where any is told."""
    found = []
    for pup in pups:
        sizes = {"disc_width_mm": pup.disc_width_mm, "weight_g": pup.weight_g}
        if pup.animal is not None and any(sizes.values()):
            found.append(size_of(pup.animal, pup.day, sizes, by))
    return found


def size_of(animal: Animal, on: datetime.date, sizes: Sizes, by: Person | None) -> Measurement:
    """Not written yet."""
    return Measurement(animal=animal, on=on, recorded_by=by, **sizes)


def write_sizes(of_births: Sequence[Sequence[Measurement]]) -> list[Asked]:
    """Those of each birth, one birth after the other; what would be asked of each of them.

    Raises ValidationError for one that cannot be.
    """
    rows = [row for its_own in of_births for row in its_own]
    judged = iter(add_measurements(rows) if rows else ())
    found = []
    for its_own in of_births:
        asked = []
        for _, one in zip(its_own, judged, strict=False):
            if one.refusal is not None:
                raise one.refusal
            asked.append(tuple(one.doubts))
        found.append(tuple(asked))
    return found
