"""How often this program's own pictures are known again: each held against all the others."""

from dataclasses import dataclass

from breeding.identity.queries import Known, album, months_between
from breeding.spots import likeliest

SURE = 0.95


@dataclass(frozen=True)
class Tried:
    """One picture held against all the others.

    chance: of the animal that came first; has_another: whether the album holds another picture of
    the same animal, without which it can only be nobody.
    """

    animal_pk: int
    first_pk: int | None
    chance: float
    has_another: bool

    @property
    def is_right(self) -> bool:
        return self.first_pk == (self.animal_pk if self.has_another else None)

    @property
    def is_named(self) -> bool:
        """Somebody is named with 95 % or more."""
        return self.first_pk is not None and self.chance >= SURE


def tried() -> list[Tried]:
    """Every picture of the album asked of the album without it. Some 0.2 s a picture."""
    known = album()
    return [_asked(one, [other for other in known if other is not one]) for one in known]


def _asked(asked: Known, others: list[Known]) -> Tried:
    pictures: dict[int, list[tuple[float, object]]] = {}
    for one in others:
        months = months_between(asked.taken_on, one.taken_on)
        pictures.setdefault(one.animal_pk, []).append((months, one.spots))
    first, chance = likeliest(asked.spots, pictures)[0]  # type: ignore[arg-type]
    return Tried(asked.animal_pk, first, chance, asked.animal_pk in pictures)
