"""Young of a pair: how many show a trait, carry it or neither, and when a carrier is cleared."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import Any, Literal

import numpy as np

from pedigree.errors import LineageError
from pedigree.pedigree import Pedigree
from pedigree.rows import Floats, Ints
from pedigree.traits.below import HandedOn, above_core
from pedigree.traits.chances import contradictions_named
from pedigree.traits.inheritance import STATES, SexLinked, mendel, of_a_single, of_both
from pedigree.traits.locus import DIPLOID, SINGLE, Locus, Seen, locus_of
from pedigree.traits.reckoned import MOST_MEGABYTES, Reckoned

RECESSIVE = (0.0, 0.0, 1.0)  # how likely a young with 0, 1, 2 copies shows it
MOST_YOUNG = 10_000  # beyond so many a number of young is no answer for a keeper


@dataclass(frozen=True)
class PairChances:
    """What young two animals will have, from the joint chances of their own copies.

    The two may be kin, and what was seen may bear on both: so `parents` is one table, and the
    young of a litter are not independent of each other; they are once the parents are known.
    """

    sire: Any
    dam: Any
    parents: Floats  # (3, 3): copies of the sire, copies of the dam; sums to 1
    showing: Floats  # (3,): how likely a young with so many copies shows the trait
    law: Floats = field(repr=False)  # (3, 3, 3): copies of a young by those of sire and dam

    @classmethod
    def of(
        cls,
        sire: Any,
        dam: Any,
        parents: Floats,
        showing: Sequence[float] = RECESSIVE,
        *,
        single: Literal["", "sire", "dam"] = "",
    ) -> "PairChances":
        """From joint chances of the copies of two animals: (3, 3), sum 1.

        `single`: which of the two has one copy of a sex-linked gene; young of both sexes then.
        """
        return cls(sire, dam, parents, _showing(showing), _law_of(single))

    @property
    def young(self) -> Floats:
        """Chances of 0, 1, 2 copies of one young: (3,)."""
        found: Floats = np.einsum("sd,sdc->c", self.parents, self.law)
        return found

    @property
    def shows(self) -> float:
        """The chance that one young shows the trait."""
        return float(self.young @ self.showing)

    @property
    def carries(self) -> float:
        """The chance that one young has the gene and does not show it."""
        return float(self.young[1:] @ (1 - self.showing[1:]))

    @property
    def neither(self) -> float:
        """The chance that one young has no copy and does not show it."""
        return float(self.young[0] * (1 - self.showing[0]))

    def at_least_one(self, young: int, look: Literal["shows", "carries", "has"] = "shows") -> float:
        """The chance that of so many young at least one shows the trait, carries it unseen, or has
        it in either way.

        Raises LineageError for a number below 0.
        """
        return float(1 - self._none_of(np.array([_whole_number(young)]), look)[0])

    def young_for(self, chance: float, look: Literal["shows", "carries"] = "shows") -> int | None:
        """How many young it takes for at least this chance of one that shows or carries it.

        None where no number of young is enough, for the parents may both be without the gene.
        """
        none = self._none_of(np.arange(MOST_YOUNG + 1), look)
        return _first(1 - none >= _chance(chance))

    def cleared_after(self, suspect: Literal["sire", "dam"], chance: float = 0.95) -> int | None:
        """How many young of the two, none of which shows it, clear one of them to this chance.

        Cleared: with this chance it has no copy. 0 where it is so already; None where no number
        of young clears it, as when the other one may be without the gene.
        """
        return _first(self._free_after(np.arange(MOST_YOUNG + 1), suspect) >= _chance(chance))

    def carrier_after(self, suspect: Literal["sire", "dam"], young: int) -> float:
        """The chance that it has a copy if none of so many young of the two shows it.

        1 where it cannot be that none shows it.
        """
        return float(1 - self._free_after(np.array([_whole_number(young)]), suspect)[0])

    def _none_of(self, numbers: Ints, look: str) -> Floats:
        showing = self.showing
        wanted = {
            "shows": showing,
            "carries": np.array([0, *(1 - showing[1:])]),
            "has": np.array([showing[0], 1, 1]),
        }[look]
        each = 1 - self.law @ wanted
        found: Floats = np.einsum("sd,nsd->n", self.parents, _powers(each, numbers))
        return found

    def _free_after(self, numbers: Ints, suspect: str) -> Floats:
        weights = self.parents * _powers(1 - self.law @ self.showing, numbers)
        free = weights[:, 0, :].sum(axis=1) if suspect == "sire" else weights[:, :, 0].sum(axis=1)
        total = weights.sum(axis=(1, 2))
        found: Floats = np.divide(free, total, out=np.zeros_like(free), where=total > 0)
        return found


def pair_chances(
    pedigree: Pedigree,
    seen: Seen,
    sire: Any,
    dam: Any,
    *,
    frequency: float,
    showing: Sequence[float] = RECESSIVE,
    sex_linked: SexLinked | None = None,
    young: Literal["both", "females", "males"] = "both",
    most_megabytes: float = MOST_MEGABYTES,
) -> PairChances:
    """What young these two will have, given everything seen on everybody.

    `seen`, `frequency`, `sex_linked`, errors and cost are those of `genotype_chances`. `showing`
    is how likely a young with 0, 1, 2 copies shows the trait, 0 to 1 each: (0, 0, 1) for a
    recessive one, (0, 1, 1) for a dominant one. Of a sex-linked gene a young is a female or a
    male with half a chance each, or of one sex by `young`; one with its single copy shows it as
    one with two, and is counted as such.

    A suspected carrier (two in three, for it does not show what its littermate shows) with one
    that shows it: a young shows it with one in three, but two of them with one half, not 5/9.
    n young without it leave odds of 2 to 2^n that it carries: 6 clear it to 95 %, 8 to 99 %.

    >>> ped = Pedigree.from_rows([("Rigel", None, None), ("Vega", None, None),
    ...     ("Deneb", "Rigel", "Vega"), ("Altair", "Rigel", "Vega"), ("Mira", None, None)])
    >>> no, shows = (1, 1, 0), (0, 0, 1)
    >>> seen = {"Rigel": no, "Vega": no, "Deneb": shows, "Altair": no, "Mira": shows}
    >>> pair = pair_chances(ped, seen, "Altair", "Mira", frequency=0.1)
    >>> pair.young.round(9).tolist(), round(pair.at_least_one(2), 9)
    ([0.0, 0.666666667, 0.333333333], 0.5)
    >>> pair.cleared_after("sire"), pair.cleared_after("sire", 0.99)
    (6, 8)
    """
    locus = locus_of(pedigree, seen, frequency, sex_linked)
    one, other = (_node(pedigree, animal) for animal in (sire, dam))
    if one == other:
        raise LineageError(f"{sire} is given as both; a pair is two animals.")
    with contradictions_named(locus):
        reckoned = Reckoned(locus, [one, other], most_megabytes)
        alone = reckoned.chances()
        given = reckoned.asked({one: np.eye(STATES)}, [other])[other]
    if len(reckoned.states[one]) == 1:
        given = np.broadcast_to(alone[other], (STATES, STATES))
    law = _law(locus, one, other, _singles(young, sex_linked))
    return PairChances(sire, dam, alone[one][:, None] * given, _showing(showing), law)


def young_chances(
    pedigree: Pedigree,
    seen: Seen,
    sires: Sequence[Any],
    dams: Sequence[Any],
    *,
    frequency: float,
    sex_linked: SexLinked | None = None,
    most_megabytes: float = MOST_MEGABYTES,
) -> Floats:
    """Chances of 0, 1, 2 copies of one young of every sire with every dam: (sires, dams, 3).

    All pairs at once, as a plan needs them; the joint chances of the two count. `seen`,
    `frequency`, errors are those of `genotype_chances`; of a sex-linked gene a young is a female
    or a male with half a chance each. Cost: a few times that of `genotype_chances`.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None),
    ...                           ("Mira", "Altair", "Vega")])
    >>> seen = {"Altair": (0, 0, 1), "Vega": (1, 0, 0)}
    >>> young_chances(ped, seen, ["Altair"], ["Vega", "Mira"], frequency=0.1).tolist()
    [[[0.0, 1.0, 0.0], [0.0, 0.5, 0.5]]]
    """
    locus = locus_of(pedigree, seen, frequency, sex_linked)
    one = [_node(pedigree, animal) for animal in sires]
    other = [_node(pedigree, animal) for animal in dams]
    with contradictions_named(locus):
        lean = locus.above(np.flatnonzero(locus.informed()).tolist())
        held = [node for node in {*one, *other} if lean[node]]
        reckoned = Reckoned(locus, held, most_megabytes)
        handed = HandedOn(reckoned, above_core(reckoned, {*one, *other}))
    young = [handed.young(a, b) for a, b in product(one, other)]
    found: Floats = np.array(young).reshape(len(one), len(other), STATES)
    if not locus.sex_linked:
        return found
    for a, b in product(one, other):
        _check_sexes(locus, a, b)
    two = [b if locus.is_single[a] else a for a, b in product(one, other)]
    single = np.array([handed.single(node) for node in two]).reshape(found.shape)
    found = (found + single) / 2
    return found


def _node(pedigree: Pedigree, animal: Any) -> int:
    return int(pedigree._layout.node_of_row[pedigree.row(animal)])


def _singles(young: str, sex_linked: SexLinked | None) -> float:
    """Which part of the young has a single copy."""
    if young not in ("both", "females", "males"):
        raise LineageError(f"Young are 'both', 'females' or 'males', not {young!r}.")
    if sex_linked is None:
        return 0.0
    return 0.5 if young == "both" else float(young == sex_linked.one_copy)


def _law(locus: Locus, sire: int, dam: int, singles: float) -> Floats:
    """Copies of a young by those of sire and dam; a single copy counts as two: it has no other."""
    table: Floats = locus.tables[DIPLOID][:STATES, :STATES]
    if not locus.sex_linked:
        return table
    _check_sexes(locus, sire, dam)
    single = locus.tables[SINGLE][:STATES, :STATES][..., [0, 2, 1]]
    both: Floats = (1 - singles) * table + singles * single
    return both if locus.is_single[sire] else both.transpose(1, 0, 2)


def _law_of(single: Literal["", "sire", "dam"]) -> Floats:
    """The same without a pedigree; of a sex-linked gene for young of both sexes."""
    if not single:
        return mendel(0.0)[:STATES, :STATES]
    handed = np.array([0.0, 0.5, 1.0])
    two = of_both(np.array([0.0, 1.0, 1.0]), handed)
    one = of_a_single(handed)[..., [0, 2, 1]]
    both: Floats = (two + one) / 2
    return both if single == "sire" else both.transpose(1, 0, 2)


def _check_sexes(locus: Locus, sire: int, dam: int) -> None:
    if locus.is_single[sire] == locus.is_single[dam]:
        raise LineageError(
            f"Of a sex-linked gene, one of {locus.label[sire]} and {locus.label[dam]} has one copy "
            "and the other two, by their sexes."
        )


def _showing(values: Sequence[float]) -> Floats:
    found = np.array(values, np.float64)
    if found.shape != (STATES,) or not ((found >= 0) & (found <= 1)).all():
        raise LineageError(f"How a young shows it is three chances from 0 to 1, not {values!r}.")
    return found


def _whole_number(young: int) -> int:
    if young < 0:
        raise LineageError(f"A number of young is 0 or more, not {young}.")
    return young


def _chance(value: float) -> float:
    if not 0 <= value <= 1:
        raise LineageError(f"A chance is from 0 to 1, not {value}.")
    return value


def _powers(each: Floats, numbers: Ints) -> Floats:
    """To the power of each number: (numbers, 3, 3)."""
    found: Floats = np.maximum(each, 0) ** numbers[:, None, None]
    return found


def _first(reached: Any) -> int | None:
    places = np.flatnonzero(reached)
    return int(places[0]) if len(places) else None
