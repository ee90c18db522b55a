"""What F could be if founders of whom nobody knows anything were kin; and how much is unknown."""

from collections.abc import Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

import numpy as np

from pedigree.assumed import FULL
from pedigree.errors import LineageError
from pedigree.layout import Levels, Unrecorded
from pedigree.pedigree import Pedigree
from pedigree.rows import UNKNOWN, Floats, Ints

HALF_AS_LIKELY_AS_LITTERMATES = FULL / 2  # kinship; an assumption


@dataclass(frozen=True)
class UnknownFounders:
    """What is believed of founders whose parents nobody knows, and of parents without a name.

    sources: by animal, where it may come from, or where its one unknown parent may; two that
    share a source are held to be kin by `kinship`, 0 to 1/4. settled: pairs of whom more is said,
    with their kinship; it stands, whatever their sources.
    """

    sources: Mapping[Any, Collection[Hashable]]
    kinship: Fraction = HALF_AS_LIKELY_AS_LITTERMATES
    settled: Mapping[frozenset[Any], Fraction] = field(default_factory=dict)

    def without(self, animal: Any) -> "UnknownFounders":
        """The same, where it is known that this one is kin to nobody."""
        return replace(self, sources={**self.sources, animal: ()})


def possible_kinship(ped: Pedigree, ids: Sequence[Any], beliefs: UnknownFounders) -> Floats:
    """Kinship of these animals as it could be, if unknown founders are kin as believed: (m, m).

    Never below `Pedigree.kinship_matrix` without what is assumed. The chance of two genes to be
    the same by descent is linear in the kinship of the founders they come from, so no one program
    of parents has to make all of the founders' kinships at once. What the pedigree itself assumes
    does not count; say it in `settled`. Cost: the square of these and their ancestors. Raises
    UnknownAnimal, and LineageError for a kinship that is not from 0 to 1/4.

    Source: groups of founders with a common kinship, Legarra et al. 2015, Genetics 200:455-468.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None)])
    >>> shop = UnknownFounders({"Altair": ["a shop"], "Vega": ["a shop"]})
    >>> float(possible_kinship(ped, ["Altair", "Vega"], shop)[0, 1])
    0.125
    """
    for value in (beliefs.kinship, *beliefs.settled.values()):
        if not 0 <= value <= FULL:
            raise LineageError(f"Kinship believed of two is from 0 to 1/4, not {value}.")
    levels, places = _with_founders(ped, ids)
    names = _founders(ped, levels)
    table = np.zeros((len(levels.first), len(levels.first)))
    count = len(names)
    table[:count, :count] = _among_founders(names, beliefs)
    for begin, end in levels.slices()[1:]:
        _fill(table, levels, begin, end)
    found: Floats = table[np.ix_(places, places)]
    return found


def unknown_share(ped: Pedigree, ids: Sequence[Any], known: Collection[Any]) -> Floats:
    """What part of the genes of each comes from founders nobody knows anything of: (m,), 0 to 1.

    known: founders of whom nobody can know more, as those from the wild. Cost: linear in their
    ancestors.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Mira", "Altair", None)])
    >>> unknown_share(ped, ["Altair", "Mira"], known=["Altair"]).tolist()
    [0.0, 0.5]
    """
    levels, places = _with_founders(ped, ids)
    share = np.zeros(len(levels.first))
    for place, (animal, is_itself) in enumerate(_founders(ped, levels)):
        share[place] = not (is_itself and animal in known)
    for begin, end in levels.slices()[1:]:
        part = levels.share[begin:end]
        one, other = levels.first[begin:end], levels.second[begin:end]
        share[begin:end] = part * share[one] + (1 - part) * share[other]
    found: Floats = share[places]
    return found


def founders_behind(ped: Pedigree, ids: Sequence[Any]) -> tuple[list[Any], Floats]:
    """Founders of these, and the part of each one's genes that comes from each: (m, founders).

    One that is only the unknown parent of an animal is named by that animal.
    """
    levels, places = _with_founders(ped, ids)
    names = _founders(ped, levels)
    parts = np.zeros((len(levels.first), len(names)))
    parts[: len(names)] = np.eye(len(names))
    for begin, end in levels.slices()[1:]:
        share = levels.share[begin:end, None]
        one, other = levels.first[begin:end], levels.second[begin:end]
        parts[begin:end] = share * parts[one] + (1 - share) * parts[other]
    found: Floats = parts[places]
    return [animal for animal, _ in names], found


def _with_founders(ped: Pedigree, ids: Sequence[Any]) -> tuple[Levels, Ints]:
    nodes = ped._layout.node_of_row[np.array([ped.row(one) for one in ids], np.int64)]
    levels = ped._layout.levels(ped._layout.closure(nodes)).completed()
    return levels, levels.place[nodes]


def _founders(ped: Pedigree, levels: Levels) -> list[tuple[Any, bool]]:
    """Who the founders of a layout are, in order: an animal, and whether it is that itself or a
    parent of it that nobody knows."""
    count = int(levels.starts[1]) if len(levels.starts) > 1 else 0
    label = ped._layout.label
    young_of: dict[int, Any] = {}
    for parents in (levels.first, levels.second):
        for place in np.flatnonzero((parents >= 0) & (parents < count)).tolist():
            node = int(levels.node[place])
            young_of[int(parents[place])] = label[node] if node != UNKNOWN else None
    found: list[tuple[Any, bool]] = []
    for place in range(count):
        node = int(levels.node[place])
        mine = label[node] if node != UNKNOWN else None
        if isinstance(mine, Unrecorded):
            found.append((mine.young[0], False))
        elif node == UNKNOWN:
            found.append((young_of.get(place), False))
        else:
            found.append((mine, True))
    return found


def _among_founders(names: list[tuple[Any, bool]], beliefs: UnknownFounders) -> Floats:
    sources = [frozenset(beliefs.sources.get(animal, ())) for animal, _ in names]
    column = {one: at for at, one in enumerate(dict.fromkeys(s for some in sources for s in some))}
    of = np.zeros((len(names), len(column)))
    for row, some in enumerate(sources):
        of[row, [column[one] for one in some]] = 1
    table = np.where(of @ of.T > 0, float(beliefs.kinship), 0.0)
    place = {animal: row for row, (animal, is_itself) in enumerate(names) if is_itself}
    for pair, kinship in beliefs.settled.items():
        if pair <= place.keys():
            one, other = (place[animal] for animal in pair)
            table[one, other] = table[other, one] = float(kinship)
    np.fill_diagonal(table, 0.5)
    return table


def _fill(table: Floats, levels: Levels, begin: int, end: int) -> None:
    """The rows of one level, from those of the levels before it."""
    one, other = levels.first[begin:end], levels.second[begin:end]
    part = levels.share[begin:end, None]
    above = part * table[one, :begin] + (1 - part) * table[other, :begin]
    table[begin:end, :begin], table[:begin, begin:end] = above, above.T
    table[begin:end, begin:end] = part * above[:, one].T + (1 - part) * above[:, other].T
    share = levels.share[begin:end]
    as_mixture = share * table[one, one] + (1 - share) * table[other, other]
    own = np.where(levels.is_mixture[begin:end], as_mixture, (1 + table[one, other]) / 2)
    table[range(begin, end), range(begin, end)] = own
