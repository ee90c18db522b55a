"""Rows of animals, checked one by one: ids, parents, possible sires, litters."""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np
import numpy.typing as npt

from pedigree.errors import DuplicateAnimal, LineageError, UnknownAnimal

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]

UNKNOWN = -1  # the parent nobody knows; as an index it reaches the empty last row of a table
HALF = Fraction(1, 2)

Belief = tuple[tuple[int, Fraction], ...]  # candidate sires by row, with their shares


@dataclass(frozen=True)
class Read:
    """The rows as given, checked one by one; parents are row numbers."""

    ids: tuple[Any, ...]
    row_of: Mapping[Any, int]
    sire: Ints
    dam: Ints
    beliefs: Mapping[int, Belief]  # row to its possible sires, when there are several
    litter: Mapping[int, Hashable]  # row to its litter, where one is given


def read(rows: Iterable[Sequence[Any]]) -> Read:
    """Check the rows one by one. Cost: linear. Raises LineageError and its kinds."""
    listed = [tuple(row) for row in rows]
    return _plain(listed) or _one_by_one(listed)


def _plain(rows: list[tuple[Any, ...]]) -> Read | None:
    """The quick way for rows of three with one sire each; None when one needs a closer look."""
    if not rows or set(map(len, rows)) != {3}:
        return None
    ids, sires, dams = zip(*rows, strict=True)
    try:
        row_of = dict(zip(ids, range(len(ids)), strict=True))
        if len(row_of) < len(ids) or None in row_of:
            return None
        row_of[None] = UNKNOWN
        sire, dam = list(map(row_of.get, sires)), list(map(row_of.get, dams))
        del row_of[None]
    except TypeError:
        return None
    if None in sire or None in dam:
        return None
    return Read(ids, row_of, np.array(sire, np.int64), np.array(dam, np.int64), {}, {})


def _one_by_one(listed: list[tuple[Any, ...]]) -> Read:
    row_of: dict[Any, int] = {}
    for row in listed:
        if len(row) not in (3, 4):
            raise LineageError(f"A row is (id, sire, dam) or (id, sire, dam, litter), not {row!r}.")
        animal = row[0]
        if animal is None:
            raise LineageError("An animal's id cannot be None: None stands for unknown.")
        try:
            if animal in row_of:
                raise DuplicateAnimal(animal)
        except TypeError:
            raise LineageError(f"An animal's id must be hashable, not {animal!r}.") from None
        row_of[animal] = len(row_of)
    sire, dam = np.full(len(listed), UNKNOWN), np.full(len(listed), UNKNOWN)
    beliefs: dict[int, Belief] = {}
    litter: dict[int, Hashable] = {}
    for number, row in enumerate(listed):
        given = row[1]
        if isinstance(given, Mapping):
            belief = _belief(row[0], given, row_of)
            if len(belief) == 1 and belief[0][1] == 1:
                sire[number] = belief[0][0]
            elif belief:
                beliefs[number] = belief
        elif given is not None:
            sire[number] = _parent(row[0], "sire", given, row_of)
        if row[2] is not None:
            dam[number] = _parent(row[0], "dam", row[2], row_of)
        if len(row) == 4 and row[3] is not None:
            litter[number] = row[3]
    return Read(tuple(row_of), row_of, sire, dam, beliefs, litter)


def _parent(animal: Any, role: str, parent: Any, row_of: Mapping[Any, int]) -> int:
    try:
        found = row_of.get(parent)
    except TypeError:
        raise LineageError(
            f"The {role} of {animal} must be an id, None"
            f"{' or a mapping of ids to shares' if role == 'sire' else ''}, not {parent!r}."
        ) from None
    if found is None:
        raise UnknownAnimal(parent, animal)
    return found


def exact(value: Any) -> Fraction:
    """A share as an exact fraction; a float means the decimal it is written as (0.1 is 1/10)."""
    try:
        return Fraction(repr(float(value))) if isinstance(value, float) else Fraction(value)
    except (TypeError, ValueError, OverflowError):
        raise LineageError(f"A share is a number from 0 to 1, not {value!r}.") from None


def _belief(animal: Any, given: Mapping[Any, Any], row_of: Mapping[Any, int]) -> Belief:
    shares = []
    for sire, value in given.items():
        share = exact(value)
        if not 0 <= share <= 1:
            raise LineageError(
                f"The share of {sire} as sire of {animal} is {value}; allowed is 0 to 1."
            )
        if sire is None:
            continue  # said to be unknown: the rest is that anyway
        if share:
            shares.append((_parent(animal, "sire", sire, row_of), share))
    total = sum((share for _, share in shares), Fraction(0))
    if total > 1:
        listed = ", ".join(f"{sire} {share}" for sire, share in given.items())
        raise LineageError(
            f"The shares of the possible sires of {animal} ({listed}) make {total}; "
            "they sum to at most 1."
        )
    return tuple(sorted(shares))
