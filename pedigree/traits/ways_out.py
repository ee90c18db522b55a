"""Ways out of what cannot be: the fewest things that, if wrong, make everything seen possible."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from pedigree.errors import LineageError
from pedigree.pedigree import Pedigree
from pedigree.rows import Floats
from pedigree.traits.consistent import is_possible
from pedigree.traits.contradictions import one_conflict
from pedigree.traits.inheritance import NOBODY, STATES, SexLinked, of_both
from pedigree.traits.locus import Locus, Seen, locus_of, with_sexes_of_parents
from pedigree.traits.reckoned import MOST_MEGABYTES, Impossible, Reckoned
from pedigree.traits.refusals import Contradiction

MOST_TOGETHER = 3

Row = tuple[Any, Any, Any, Any]


@dataclass(frozen=True)
class Doubts:
    """How likely each kind of mistake is beforehand, 0 to 1; one of 0 is not thought of."""

    look: float  # that what was seen on one animal is wrong, whatever its copies are
    sire: float  # that the recorded sire of an animal, or of a litter, is another
    dam: float
    mutation: float  # that a gene that is handed on changes, either way

    def __post_init__(self) -> None:
        for name, chance in vars(self).items():
            if not 0 <= chance <= 1:
                raise LineageError(f"The chance of a wrong {name} is from 0 to 1, not {chance}.")


@dataclass(frozen=True)
class OtherBelief:
    """Another way in which the trait may be inherited: what was seen then says, and its chance."""

    seen: Seen
    chance: float
    sex_linked: SexLinked | None = None


@dataclass(frozen=True)
class Mistake:
    """One thing that may be wrong.

    "look": what was seen on the animal. "sire", "dam": this parent of these littermates.
    "mutation": the animal has a gene that changed as it was handed on. "inheritance": the trait
    is inherited as the belief of this name says.
    """

    kind: Literal["look", "sire", "dam", "mutation", "inheritance"]
    of: tuple[Any, ...]


@dataclass(frozen=True)
class WayOut:
    """Mistakes that together make everything possible, and how likely they are.

    `logarithm` is that of the chance of the mistakes and of everything seen; `share` is what the
    way has of all ways listed, 0 to 1.
    """

    mistakes: tuple[Mistake, ...]
    logarithm: float
    share: float


def ways_out(
    pedigree: Pedigree,
    seen: Seen,
    *,
    frequency: float,
    doubts: Doubts,
    sex_linked: SexLinked | None = None,
    beliefs: Mapping[str, OtherBelief] | None = None,
    most_megabytes: float = MOST_MEGABYTES,
) -> tuple[WayOut, ...]:
    """What may be wrong when everything seen cannot be; the likeliest first. () when it can be.

    The fewest mistakes that suffice, at most 3 together: all single ones if there are any, else
    all pairs, else all triples; and every other belief under which everything can be. A way is
    weighed by the chances of its mistakes and by how likely all else that was seen is then. A
    wrong parent was some unrelated animal of the founders' frequency, one for the whole litter.

    Raises Contradiction where nothing that is allowed to be wrong helps, and otherwise what
    `genotype_chances` does. Cost: some ten to a hundred times that of `genotype_chances`.

    Source: Reiter 1987, Artif. Intell. 32:57-95 (fewest mistakes from contradictions).

    Two that show a recessive trait have a young that does not.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None),
    ...                           ("Mira", "Altair", "Vega")])
    >>> seen = {"Altair": (0, 0, 1), "Vega": (0, 0, 1), "Mira": (1, 1, 0)}
    >>> found = ways_out(ped, seen, frequency=0.5,
    ...                  doubts=Doubts(look=0, sire=0.02, dam=0.0, mutation=0.001))
    >>> [(way.mistakes[0].kind, way.mistakes[0].of, round(way.share, 3)) for way in found]
    [('sire', ('Mira',), 0.833), ('mutation', ('Mira',), 0.167)]
    """
    locus = locus_of(pedigree, seen, frequency, sex_linked)
    if is_possible(locus, most_megabytes):
        return ()
    sexes = with_sexes_of_parents(pedigree, sex_linked)
    case = _Case(pedigree, locus, seen, frequency, sexes, doubts, most_megabytes)
    found = [(mistakes, case.logarithm(mistakes)) for mistakes in _fewest(case)]
    for name, belief in (beliefs or {}).items():
        try:
            other = locus_of(pedigree, belief.seen, frequency, belief.sex_linked)
            chance = _log(belief.chance) + Reckoned(other, (), most_megabytes).logarithm
        except Impossible:
            continue
        found.append(((Mistake("inheritance", (name,)),), chance))
    found = [(mistakes, value) for mistakes, value in found if np.isfinite(value)]
    if not found:
        raise Contradiction(_animals(case.conflict(())))
    values = np.array([value for _, value in found])
    shares = np.exp(values - values.max())
    shares /= shares.sum()
    ways = [
        WayOut(mistakes, value, float(share))
        for (mistakes, value), share in zip(found, shares, strict=True)
    ]
    return tuple(sorted(ways, key=lambda way: -way.logarithm))


class _Case:
    """One contradiction, and what may be wrong about it."""

    def __init__(
        self,
        pedigree: Pedigree,
        locus: Locus,
        seen: Seen,
        frequency: float,
        sex_linked: SexLinked | None,
        doubts: Doubts,
        most_megabytes: float,
    ) -> None:
        core = locus.above(np.flatnonzero(locus.informed()).tolist())
        node = pedigree._layout.node_of_row
        self._rows: list[Row] = [row for at, row in enumerate(pedigree.rows()) if core[node[at]]]
        kept = {row[0] for row in self._rows}
        self._seen = {animal: values for animal, values in seen.items() if animal in kept}
        self._frequency = frequency
        self._sex_linked = sex_linked
        self._doubts = doubts
        self._most_megabytes = most_megabytes
        self._looks = [Mistake("look", (animal,)) for animal in self._seen]
        self._parents = [*_shared(self._rows, "sire"), *_shared(self._rows, "dam")]

    def conflict(self, wrong: Sequence[Mistake]) -> list[Mistake]:
        """Looks and parentages that cannot all be right if these are wrong; none is spare.

        First what was seen, so that everything after it is about few animals.
        """
        looks = [one for one in self._looks if one not in wrong]
        parents = [one for one in self._parents if one not in wrong]

        def can_be(trusted: Iterable[Mistake], parents_too: bool) -> bool:
            right = set(trusted) | (set() if parents_too else set(parents))
            return is_possible(self._locus(wrong, right), self._most_megabytes)

        looks = one_conflict(looks, lambda some: can_be(some, False))
        near = [one for one in parents if self._bears_on(one, looks)]
        return one_conflict([*looks, *near], lambda some: can_be(some, True))

    def _bears_on(self, parentage: Mistake, looks: Sequence[Mistake]) -> bool:
        above = {animal for look in looks for animal in self._above(look.of[0])}
        return not above.isdisjoint(parentage.of)

    def _above(self, animal: Any) -> set[Any]:
        parents = {row[0]: row for row in self._rows}
        found, todo = set(), [animal]
        while todo:
            one = todo.pop()
            if one in found or one is None:
                continue
            found.add(one)
            _, sire, dam, _ = parents[one]
            todo += [*(sire if isinstance(sire, Mapping) else [sire]), dam]
        return found

    def may_be_wrong(self, conflict: Sequence[Mistake]) -> list[Mistake]:
        """What of a contradiction is allowed to be wrong, and who of it may have mutated."""
        young = {animal for one in conflict if one.kind in ("sire", "dam") for animal in one.of}
        involved = set(_animals(conflict))
        mutated = [Mistake("mutation", (one,)) for one in sorted(young & involved, key=str)]
        mutated += [Mistake("mutation", (one,)) for one in sorted(young - involved, key=str)]
        return [one for one in [*conflict, *mutated] if self._chance(one) > 0]

    def is_way(self, wrong: Sequence[Mistake]) -> bool:
        """Whether everything can be if these are wrong."""
        return is_possible(self._locus(wrong), self._most_megabytes)

    def logarithm(self, wrong: Sequence[Mistake]) -> float:
        """Of the chance of these mistakes and of everything seen."""
        chance = sum(_log(self._chance(one)) for one in wrong)
        try:
            locus = self._locus(wrong)
            return chance + Reckoned(locus, (), self._most_megabytes).logarithm
        except Impossible:
            return -np.inf

    def _chance(self, mistake: Mistake) -> float:
        return float(getattr(self._doubts, mistake.kind))

    def _locus(self, wrong: Sequence[Mistake], right: set[Mistake] | None = None) -> Locus:
        """The gene with these mistakes put right; with `right`, nothing but these is trusted."""
        gone = set(wrong)
        if right is not None:
            gone |= {one for one in [*self._looks, *self._parents] if one not in right}
        sires = {animal for one in gone if one.kind == "sire" for animal in one.of}
        dams = {animal for one in gone if one.kind == "dam" for animal in one.of}
        unseen = {one.of[0] for one in gone if one.kind == "look"}
        rows = [
            (animal, None if animal in sires else sire, None if animal in dams else dam, litter)
            for animal, sire, dam, litter in self._rows
        ]
        seen = {one: values for one, values in self._seen.items() if one not in unseen}
        pedigree = Pedigree.from_rows(rows)
        locus = locus_of(pedigree, seen, self._frequency, self._sex_linked)
        for one in wrong:
            if one.kind == "mutation":
                node = int(pedigree._layout.node_of_row[pedigree.row(one.of[0])])
                locus = locus.with_kind(node, mutated(locus, node))
        return locus


def _fewest(case: _Case) -> list[tuple[Mistake, ...]]:
    """The smallest sets of mistakes that make everything possible: level by level."""
    level: list[tuple[Mistake, ...]] = [()]
    for _ in range(MOST_TOGETHER):
        further: dict[frozenset[Mistake], tuple[Mistake, ...]] = {}
        for wrong in level:
            for one in case.may_be_wrong(case.conflict(wrong)):
                if one not in wrong:
                    further.setdefault(frozenset((*wrong, one)), (*wrong, one))
        level = list(further.values())
        if found := [wrong for wrong in level if case.is_way(wrong)]:
            return found
    return []


def mutated(locus: Locus, node: int) -> Floats:
    """Copies of a node if just one of the genes handed to it changed: a table (4, 4, 3).

    Twice the mean over its genes, for either may have changed; an animal with one has one.
    """
    handed = np.array([0.0, 0.5, 1.0, locus.frequency])
    if locus.is_single[node]:
        table = np.zeros((NOBODY + 1, NOBODY + 1, STATES))
        table[..., 0], table[..., 1] = handed[None, :], 1 - handed[None, :]
        return table
    of_first = np.array([0.0, 1.0, 1.0, locus.frequency]) if locus.sex_linked else handed
    return of_both(1 - of_first, handed) + of_both(of_first, 1 - handed)


def _shared(rows: Sequence[Row], role: Literal["sire", "dam"]) -> list[Mistake]:
    """Each recorded sire (dam) with the young for which he stands or falls: those of a litter."""
    groups: dict[Any, list[Any]] = {}
    for animal, sire, dam, litter in rows:
        parent = sire if role == "sire" else dam
        if parent is None:
            continue
        named = tuple(sorted(parent.items(), key=str)) if isinstance(parent, Mapping) else parent
        key = (animal,) if litter is None else (litter, named, dam if role == "sire" else None)
        groups.setdefault(key, []).append(animal)
    return [Mistake(role, tuple(young)) for young in groups.values()]


def _animals(conflict: Iterable[Mistake]) -> list[Any]:
    return [one.of[0] for one in conflict if one.kind == "look"]


def _log(chance: float) -> float:
    return float(np.log(chance)) if chance > 0 else -np.inf
