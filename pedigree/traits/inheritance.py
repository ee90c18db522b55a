"""How one gene is handed on: tables of Mendel's laws, and what a look says of the copies."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from pedigree.errors import LineageError
from pedigree.rows import Floats

Inheritance = Literal["recessive", "dominant", "codominant"]

STATES = 3  # 0, 1 or 2 copies
NOBODY = 3  # as an index of a parent: one who is not known

LOOKS: dict[str, dict[str, tuple[int, ...]]] = {  # the copies that each look means
    "recessive": {"shows": (2,), "does not": (0, 1)},
    "dominant": {"shows": (1, 2), "does not": (0,)},
    "codominant": {"none": (0,), "one": (1,), "two": (2,)},
}
ONE_COPY_LOOKS = {"shows": (1,), "does not": (0,), "none": (0,), "two": (1,)}


@dataclass(frozen=True)
class SexLinked:
    """A gene on the sex chromosome of which one sex has a single copy.

    `one_copy` is that sex: males where they are XY, females where they are ZW. An animal's 1 copy
    is then all it can have. Parents need no mention: sires are male, dams female.
    """

    females: frozenset[Any]
    males: frozenset[Any]
    one_copy: Literal["males", "females"] = "males"

    @classmethod
    def of(
        cls,
        females: Iterable[Any],
        males: Iterable[Any],
        one_copy: Literal["males", "females"] = "males",
    ) -> "SexLinked":
        """From any collections of ids. Raises LineageError for an animal of both sexes."""
        found = cls(frozenset(females), frozenset(males), one_copy)
        if both := found.females & found.males:
            raise LineageError(f"{next(iter(both))} is given as a female and as a male.")
        if one_copy not in ("males", "females"):
            raise LineageError(f"One copy is had by 'males' or 'females', not by {one_copy!r}.")
        return found


def likelihoods(
    inheritance: Inheritance, look: str, *, mistaken: float = 0.0, has_one_copy: bool = False
) -> tuple[float, float, float]:
    """What a look says: how likely it is with 0, 1 and 2 copies, as `seen` wants it.

    A recessive or dominant trait "shows" or "does not"; of a codominant one (or by a test) one
    sees "none", "one" or "two". `mistaken` from 0 to 1 is the chance that the look deceives, or
    that a test is wrong. `has_one_copy`: of a sex-linked trait, on an animal of the sex with a
    single copy. What cannot be told yet is not in `seen` at all. Raises LineageError.

    >>> likelihoods("recessive", "does not")
    (1.0, 1.0, 0.0)
    >>> likelihoods("codominant", "two", mistaken=0.02)
    (0.01, 0.01, 0.98)
    """
    looks = LOOKS.get(inheritance)
    if looks is None:
        raise LineageError(f"A trait is {', '.join(LOOKS)}, not {inheritance!r}.")
    if look not in looks or (has_one_copy and look not in ONE_COPY_LOOKS):
        raise LineageError(f"A {inheritance} trait is seen as {', '.join(looks)}, not {look!r}.")
    if not 0 <= mistaken <= 1:
        raise LineageError(f"The chance of a mistake is from 0 to 1, not {mistaken}.")
    fits = ONE_COPY_LOOKS[look] if has_one_copy else looks[look]
    wrong = mistaken / 2 if inheritance == "codominant" and not has_one_copy else mistaken
    zero, one, two = (1 - mistaken if copies in fits else wrong for copies in range(STATES))
    return zero, one, 0.0 if has_one_copy else two


def mendel(frequency: float) -> Floats:
    """Chances of 0, 1, 2 copies by those of two parents: (4, 4, 3); index 3 is a parent unknown.

    `frequency` is that of the gene among founders, 0 to 1. Both parents unknown are
    Hardy-Weinberg proportions.

    >>> mendel(0.5)[1, 1].tolist(), mendel(0.5)[3, 3].tolist()
    ([0.25, 0.5, 0.25], [0.25, 0.5, 0.25])
    """
    handed = np.array([0.0, 0.5, 1.0, frequency])
    return of_both(handed, handed)


def of_both(one: Floats, other: Floats) -> Floats:
    """Copies from the chances that each of two parents hands the gene on: (n, m, 3)."""
    a, b = one[:, None], other[None, :]
    return np.stack([(1 - a) * (1 - b), a * (1 - b) + (1 - a) * b, a * b], axis=2)


def of_a_single(handed: Floats) -> Floats:
    """Copies of an animal that has one, from its second parent alone: (4, 4, 3)."""
    table = np.stack([1 - handed, handed, np.zeros_like(handed)], axis=1)
    return np.broadcast_to(table, (len(handed), *table.shape)).copy()


def one_of_two(share: float) -> Floats:
    """An animal that is the first of two with this chance, else the second: (4, 4, 3)."""
    table = np.zeros((NOBODY + 1, NOBODY + 1, STATES))
    same = np.eye(STATES)
    table[:STATES, :STATES] = share * same[:, None, :] + (1 - share) * same[None, :, :]
    return table
