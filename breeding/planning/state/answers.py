"""What the state of the program comes to: whom to breed first, thin lines, pairs to avoid."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.pairings.season.exposure import maturity_of
from breeding.planning.state.report import FounderRow, ProgramState
from breeding.words.descent.kin import closeness
from pedigree.rows import Floats

FIRST_SHOWN, LINES_SHOWN, PAIRS_SHOWN, SPARED_SHOWN = 4, 4, 4, 3
FEW = 3  # in so few living animals a founder's line is nearly lost
MOST_COMPARED = 600  # so many animals are compared each with each for a page


@dataclass(frozen=True)
class First:
    """An animal whose young the program needs most. kin: who else living carries of its genes."""

    animal: Animal
    mean_kinship: float
    kin: tuple[str, ...]
    kin_count: int


@dataclass(frozen=True)
class ThinLine:
    """A founder that is carried on by few. left: how much of its genes, 0 to 1."""

    founder: Animal | None
    name: str
    is_here: bool
    left: float | None
    carriers: tuple[Animal, ...]


@dataclass(frozen=True)
class ClosePair:
    """Two grown animals whose young would be close."""

    male: Animal
    female: Animal
    inbreeding: float
    closeness: str


@dataclass(frozen=True)
class Answers:
    """All of it, from the figures of the state. are_compared: not too many for a page."""

    first: tuple[First, ...]
    lines: tuple[ThinLine, ...]
    more_lines: int
    avoid: tuple[ClosePair, ...]
    more_pairs: int
    spared: tuple[Animal, ...]
    are_compared: bool
    threshold_closeness: str


def answers_of(
    state: ProgramState, known: Lineage, *, today: datetime.date, threshold: float
) -> Answers:
    """threshold: from which F on a pair is one to avoid. Three queries at most."""
    pks = [one.pk for one in state.living]
    animals = Animal.objects.in_bulk(pks)
    mature = maturity_of(animals)
    grown = [pk for pk in pks if mature[pk].since <= today]
    are_compared = len(pks) <= MOST_COMPARED
    matrix = known.pedigree.kinship_matrix(pks) if are_compared else np.empty((0, 0))
    place = {pk: at for at, pk in enumerate(pks)}
    lines = _thin_lines(state, known, animals)
    pairs = _close_pairs(grown, animals, matrix, place, threshold) if are_compared else []
    are_grown = set(grown)
    ranked = [one for one in state.ranking if one.member.pk in are_grown]
    return Answers(
        first=tuple(
            First(
                animals[one.member.pk],
                one.mean_kinship,
                *_kin(one.member.pk, animals, matrix, place),
            )
            for one in ranked
            if one.member.sex != Animal.Sex.UNKNOWN
        )[:FIRST_SHOWN],
        lines=tuple(lines[:LINES_SHOWN]),
        more_lines=max(0, len(lines) - LINES_SHOWN),
        avoid=tuple(pairs[:PAIRS_SHOWN]),
        more_pairs=max(0, len(pairs) - PAIRS_SHOWN),
        spared=tuple(
            animals[one.member.pk] for one in reversed(ranked[2 * FIRST_SHOWN :][-SPARED_SHOWN:])
        ),
        are_compared=are_compared,
        threshold_closeness=closeness(threshold),
    )


def _kin(
    pk: int, animals: Mapping[int, Animal], matrix: Floats, place: Mapping[int, int]
) -> tuple[tuple[str, ...], int]:
    """Names of the few other living ones that are kin to it, and how many there are."""
    if not len(matrix):
        return (), -1
    row = matrix[place[pk]]
    kin = [other for other, at in place.items() if other != pk and row[at] > 0]
    names = tuple(animals[other].name for other in kin) if len(kin) <= FEW else ()
    return names, len(kin)


def _thin_lines(
    state: ProgramState, known: Lineage, animals: Mapping[int, Animal]
) -> list[ThinLine]:
    """Founders in few living animals, those in the fewest first: one query."""
    carried: list[tuple[FounderRow, list[int]]] = []
    for row in state.founders:
        if row.pk is None:
            continue
        carriers = [pk for pk in (row.pk, *known.pedigree.descendants(row.pk)) if pk in animals]
        if 0 < len(carriers) <= FEW:
            carried.append((row, sorted(carriers)))
    gone = Animal.objects.in_bulk([row.pk for row, _ in carried if row.pk not in animals])
    lines = [
        ThinLine(
            animals.get(row.pk or 0) or gone.get(row.pk or 0),
            row.name,
            row.pk in animals,
            row.retained,
            tuple(animals[pk] for pk in carriers),
        )
        for row, carriers in carried
    ]
    return sorted(lines, key=lambda line: (len(line.carriers), line.is_here))


def _close_pairs(
    grown: Sequence[int],
    animals: Mapping[int, Animal],
    matrix: Floats,
    place: Mapping[int, int],
    threshold: float,
) -> list[ClosePair]:
    """Grown pairs from the threshold on, the closest first."""
    males, females = (
        [pk for pk in grown if animals[pk].sex == sex and animals[pk].is_here]
        for sex in (Animal.Sex.MALE, Animal.Sex.FEMALE)
    )
    table = matrix[np.ix_([place[pk] for pk in males], [place[pk] for pk in females])]
    at = np.argwhere((table >= threshold) & (table > 0))
    ordered = sorted(at.tolist(), key=lambda one: -table[one[0], one[1]])
    return [
        ClosePair(
            animals[males[row]],
            animals[females[column]],
            float(table[row, column]),
            closeness(float(table[row, column])),
        )
        for row, column in ordered
    ]
