"""Who is in a tank, as the figures of a drawing: in the frame of their sex, and how large; pure."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from breeding.animals.models import Animal
from breeding.housing.models import Stay

YOUNG_DAYS = 365  # brothers and sisters younger than this are drawn as one litter
LEAST_LITTER = 3
NAME_PX, GAP_PX = 17, 8
# Sizes of a face on a desk, the largest first, and whether a name goes under it.
SIZES = (
    *((56, True), (46, True), (38, True)),
    *((46, False), (38, False), (30, False), (23, False), (17, False)),
)
WIDEST_NAME_PX = 62


def frame_of(animal: Animal) -> str:
    """The frame of its sex, everywhere the same."""
    return {Animal.Sex.MALE: "square", Animal.Sex.FEMALE: "circle"}.get(
        Animal.Sex(animal.sex), "diamond"
    )


@dataclass(frozen=True)
class Figure:
    """One animal, or a litter: a diamond with its number."""

    animal: Animal
    count: int = 1

    @property
    def is_litter(self) -> bool:
        return self.count > 1

    @property
    def frame(self) -> str:
        """square: male; circle: female; diamond: unknown, or a litter."""
        return "diamond" if self.is_litter else frame_of(self.animal)


@dataclass(frozen=True)
class Side:
    """A whole tank, or one side of its divider. face_px: of a drawing on a desk.

    more: how many animals find no place among the figures, which is said with a number.
    """

    name: str
    figures: tuple[Figure, ...]
    face_px: int = 0
    is_named: bool = False
    more: int = 0


def figures_of(stays: Iterable[Stay], today: datetime.date) -> tuple[Figure, ...]:
    """Grown ones one by one; young of one birth, if there are several, as their litter.

    The stays come with their animals and these with their dams.
    """
    litters: dict[tuple[int, datetime.date], list[Animal]] = {}
    found: list[Figure] = []
    for stay in stays:
        animal = stay.animal
        if is_young(animal, today) and animal.dam_id and animal.born_on:
            litters.setdefault((animal.dam_id, animal.born_on), []).append(animal)
        else:
            found.append(Figure(animal))
    for young in litters.values():
        if len(young) >= LEAST_LITTER:
            found.append(Figure(young[0], len(young)))
        else:
            found += [Figure(one) for one in young]
    return tuple(found)


def is_young(animal: Animal, today: datetime.date) -> bool:
    return animal.born_on is not None and (today - animal.born_on).days < YOUNG_DAYS


def sized(name: str, figures: Sequence[Figure], wide_px: float, high_px: float) -> Side:
    """The largest faces with which all find a place in so many pixels, named if there is room.

    Where not even the smallest do, the last place says how many more there are.
    """
    places = 0
    for face, is_named in SIZES:
        across = max(face, WIDEST_NAME_PX if is_named else 0) + GAP_PX
        down = face + GAP_PX + (NAME_PX if is_named else 0)
        places = int(wide_px // across) * int(high_px // down)
        if places >= len(figures):
            return Side(name, tuple(figures), face, is_named)
    shown = figures[: max(places - 1, 0)]
    more = sum(one.count for one in figures[len(shown) :])
    return Side(name, tuple(shown), SIZES[-1][0], False, more)
