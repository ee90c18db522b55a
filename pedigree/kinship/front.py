"""Who is in the table of the tabular method, from when until when, and who stands for the rest."""

import itertools
from functools import cached_property
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from pedigree.layout import Levels
from pedigree.rows import UNKNOWN, Ints

Marks = npt.NDArray[np.bool_]
Small = npt.NDArray[np.int32]  # of a million animals half the memory counts

NEVER = -1
FEW = 5_000  # so few to leave out are not worth the search for them, as measured
FARTHEST_BACK = 4  # generations through which a mating with one's own descendant is looked for


class Change(NamedTuple):
    """What happens in the table at a level, when the kinship of its animals' parents is known."""

    leaving_before: Ints
    entering: Ints
    stands: Ints  # (k, 2, entering): who stands for their first and second parent, one or two
    leaving_after: Ints


class Front:
    """Who is in the table when: entered at birth (founders: before first use), left after last use.

    Most animals need no place there. The kinship of an animal with anybody who does not stem from
    it is the mean of its parents' kinships with that one: the parents *stand for* it. So nobody
    enters who

    - is childless, or has no young that breed: nobody in the table stems from it;
    - has one young that breeds, and is never mated to this one or to those who stem from it: they
      alone stem from it in the table, and it is not asked for again when they are there.

    Those to be kept enter all the same, and mixtures, what these mix, and parents by selfing. Of a
    parent and a young that both have one breeding young, one enters. Cost: linear.
    """

    def __init__(self, levels: Levels, keep: Ints) -> None:
        size, end = len(levels.first), len(levels.starts)
        first, second = levels.first, levels.second
        self.who = who = Standing(levels, keep)
        level = who.level
        come, replaced = who.come, who.replaced
        self._levels, self._stands, self._steps = levels, who.stands, who.steps

        # First and last level at which a node is asked for, and last for the row of one entering.
        earliest = np.full(size + 1, end, np.int32)
        last, last_row = np.full((2, size + 1), NEVER, np.int32)
        for parent in (first, second):
            np.minimum.at(earliest, parent, level[:-1])
            np.maximum.at(last, parent, level[:-1])
            np.maximum.at(last_row, parent[come], level[come])
        for group in reversed(replaced):
            for parent in levels.parents(group):
                np.minimum.at(earliest, parent, earliest[group])
                np.maximum.at(last, parent, last[group])
                np.maximum.at(last_row, parent, last_row[group])
        last[keep] = end
        born = level[come]
        founder = (first[come] == UNKNOWN) & (second[come] == UNKNOWN)
        born[founder] = np.maximum(earliest[come[founder]] - 1, 0)
        born = np.minimum(born, max(end - 2, 0))

        soon = last_row[come] < last[come]
        before = _by_level(come[soon], last[come[soon]], end)
        entering = _by_level(come, born, end)
        after = _by_level(come[~soon], last[come[~soon]], end)
        self._moves = before, entering, after
        left_before, entered, left = (
            np.array([len(nodes) for nodes in parts], np.int64)
            for parts in (before, entering, after)
        )
        present = np.cumsum(entered - left_before - left) + left
        self.cost = int(np.sum(entered * present))
        self.peak = int(np.maximum(present, present - entered + left_before).max(initial=0))

    @cached_property
    def changes(self) -> list[Change]:
        """What happens in the table, level by level."""
        before, entering, after = self._moves
        return [
            Change(*change)
            for change in zip(before, entering, self._rows(entering), after, strict=True)
        ]

    @property
    def megabytes(self) -> float:
        """What half a table takes, with its room to spare."""
        return (self.peak * 7 / 6) ** 2 * 4 / 1e6

    def _rows(self, entering: list[Ints]) -> list[Ints]:
        nodes = np.concatenate([*entering, np.empty(0, np.int64)])
        who = rows_of(self._levels, self._stands, self._steps, nodes)
        ends = np.cumsum([len(part) for part in entering]).tolist()
        return [who[:, :, a:b] for a, b in itertools.pairwise([0, *ends])]

    def of_parents(self, places: Ints | slice) -> Ints:
        """Who in the table stands for the parents of these, k for each: (k, 2, n)."""
        who = self._levels.parents(places)
        for _ in range(self._steps):
            who = self._stands[:, who]
        return who.reshape(2**self._steps, 2, -1)


class Standing:
    """Who enters the table, and who stands for the others; see `Front`.

    `come` (m,) are those who enter, ascending; `replaced` the two groups of breeders who do not:
    those with one breeding young, and those with none. `stands` (2, nodes + 1) are the two that
    stand for a node, twice itself when it enters. The parents of one without young that breed may
    be of the first group: then one has to look twice (`steps`). `level` (nodes + 1,) is that of
    every node, NEVER of the unknown parent.
    """

    def __init__(self, levels: Levels, keep: Ints) -> None:
        size = len(levels.first)
        self.level: Small = np.append(levels.level().astype(np.int32), np.int32(NEVER))
        breeds = np.zeros(size + 1, np.bool_)
        breeds[levels.first] = breeds[levels.second] = breeds[keep] = True
        breeds[UNKNOWN] = False
        breeding_young = _breeding_young(levels, breeds)
        enters = _who_enters(levels, keep, breeding_young, _only_young(levels, breeds), self.level)
        single = ~enters & (breeding_young > 0)
        self.come: Ints = np.flatnonzero(enters[:-1])
        self.replaced = np.flatnonzero(single), np.flatnonzero(~enters & breeds & ~single)
        self.stands = np.empty((2, size + 1), np.int64)
        self.stands[:] = np.arange(size + 1)
        self.stands[:, UNKNOWN] = UNKNOWN
        for group in self.replaced:
            self.stands[:, group] = levels.parents(group)
        self.steps = 2 if single.any() else 1


def rows_of(levels: Levels, stands: Ints, steps: int, nodes: Ints) -> Ints:
    """Whose rows make those of entering nodes: (k, 2, n), for the first and the second parent."""
    who = levels.parents(nodes)
    return stands[:, who] if steps > 1 else who[None]


def _by_level(nodes: Ints, when: Small, levels: int) -> list[Ints]:
    order = np.argsort(when, kind="stable")
    cuts = np.searchsorted(when[order], np.arange(levels + 1))
    nodes = nodes[order]
    return [nodes[a:b] for a, b in itertools.pairwise(cuts.tolist())]


def _breeding_young(levels: Levels, breeds: Marks) -> Small:
    """How many young of a node breed: (nodes + 1,), of the unknown parent 0."""
    parents = levels.parents(np.flatnonzero(breeds[:-1])).ravel()
    return np.append(np.bincount(parents + 1, minlength=len(breeds))[1:], 0).astype(np.int32)


def _only_young(levels: Levels, breeds: Marks) -> Small:
    """The breeding young of a node that has one; (nodes + 1,)."""
    young = np.full(len(breeds), UNKNOWN, np.int32)
    breeding = np.flatnonzero(breeds[:-1])
    for parent in (levels.first, levels.second):
        young[parent[breeding]] = breeding
    return young


def _who_enters(
    levels: Levels, keep: Ints, breeding_young: Small, only_young: Small, level: Small
) -> Marks:
    """(nodes + 1,); the unknown parent counts as one that enters."""
    first, second = levels.first, levels.second
    always = np.append(levels.is_mixture, True)
    always[keep] = True
    always[first[levels.is_mixture]] = always[second[levels.is_mixture]] = True
    always[first[first == second]] = True
    out = np.zeros(len(always), np.bool_)
    single = ~always & (breeding_young == 1)
    if np.count_nonzero(single) < FEW:
        return always | (breeding_young > 0)
    single[_mated_to_their_own(levels, single, only_young, level)] = False
    undecided = np.flatnonzero(single)
    while len(undecided):  # the elder ones first
        waits = single[first[undecided]] | single[second[undecided]]
        now = undecided[~waits]
        out[now] = ~(out[first[now]] | out[second[now]])
        single[now] = False
        undecided = undecided[waits]
    return always | ((breeding_young > 0) & ~out)


def _mated_to_their_own(levels: Levels, single: Marks, only_young: Small, level: Small) -> Ints:
    """Of the animals with one breeding young: those mated to it or to one that stems from it.

    Also those mated to one so much younger that it would take long to tell.
    """
    first, second = levels.first, levels.second
    found = []
    for parent, mate in ((first, second), (second, first)):
        at = np.flatnonzero(single[parent] & (level[mate] >= level[only_young[parent]]))
        animal, above = parent[at], mate[at]
        for _ in range(FARTHEST_BACK):
            if not len(animal):
                break
            young = only_young[animal]
            near = (above == young) | (level[above] > level[young])
            animal, above, young = animal[near], above[near], young[near]
            found.append(animal[above == young])
            above = np.concatenate([first[above], second[above]])
            animal = np.concatenate([animal, animal])
        young = only_young[animal]
        found.append(animal[(above == young) | (level[above] > level[young])])
    return np.concatenate(found)
