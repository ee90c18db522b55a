"""Questions after the kinship of two, handed on to ancestors who are in the table already."""

from typing import NamedTuple

import numpy as np

from pedigree.kinship.front import Marks, Small
from pedigree.layout import Levels
from pedigree.rows import UNKNOWN, Floats, Ints


class Terms(NamedTuple):
    """Parts of answers: `weight` x kinship of `one` and `other` belongs to `question`."""

    question: Small
    one: Small
    other: Small
    weight: Floats

    def of(self, which: Ints) -> "Terms":
        """Some of them."""
        return Terms(
            self.question.take(which),
            self.one.take(which),
            self.other.take(which),
            self.weight.take(which),
        )


class Questions:
    """F of nodes, each asked before a window, in terms of those who entered before it.

    The younger of two who is not there yet is replaced by its parents (its own kinship with itself
    is (1 + F)/2). One who never enters always is; the two asked about are then never such that the
    other stems from it.
    """

    def __init__(self, levels: Levels, window: Small) -> None:
        self._window = window
        self._first, self._second = (
            parent.astype(np.int32) for parent in (levels.first, levels.second)
        )
        self._share, self._is_mixture = levels.share, levels.is_mixture
        self._mixed = bool(levels.is_mixture.any())

    def terms(self, nodes: Ints, before: Small) -> tuple[Floats, Terms]:
        """For these nodes and windows (n,): what is certain already (n,), and the terms."""
        certain = np.zeros(len(nodes))
        number = np.arange(len(nodes), dtype=np.int32)
        todo = Terms(number, self._first[nodes], self._second[nodes], np.ones(len(nodes)))
        done = []
        while len(todo.question):
            when = before.take(todo.question)
            one_waits = self._window.take(todo.one) >= when
            other_waits = self._window.take(todo.other) >= when
            waits = one_waits | other_waits
            done.append(todo.of(np.flatnonzero(~waits)))
            # Of two who both wait the one of the higher number does not stand above the other.
            turn = other_waits & ~(one_waits & (todo.one > todo.other))
            same = waits & (todo.one == todo.other)
            parts = self._of_itself(todo.of(np.flatnonzero(same)), certain)
            apart = np.flatnonzero(waits & ~same)
            parts += self._of_parents(todo.of(apart), turn.take(apart))
            todo = _known_parents_only(parts)
        return certain, _known_parents_only(done)

    def _of_parents(self, terms: Terms, turn: Marks) -> list[Terms]:
        """With the parents of `one`, or of `other` where `turn`, in its place."""
        replaced = np.where(turn, terms.other, terms.one)
        stays = np.where(turn, terms.one, terms.other)
        share: Floats | float = self._share[replaced] if self._mixed else 0.5
        one, other = terms.weight * share, terms.weight * (1 - share)
        return [
            Terms(terms.question, self._first.take(replaced), stays, one),
            Terms(terms.question, self._second.take(replaced), stays, other),
        ]

    def _of_itself(self, terms: Terms, certain: Floats) -> list[Terms]:
        """Of an animal (1 + F)/2, half of it certain; a mixture is one or the other."""
        if not len(terms.question):
            return []
        first, second = self._first[terms.one], self._second[terms.one]
        mixture = self._is_mixture[terms.one]
        animal, mixed = np.flatnonzero(~mixture), terms.of(np.flatnonzero(mixture))
        np.add.at(certain, terms.question[animal], terms.weight[animal] / 2)
        share = self._share[mixed.one]
        one, other = first[mixture], second[mixture]
        return [
            Terms(terms.question[animal], first[animal], second[animal], terms.weight[animal] / 2),
            Terms(mixed.question, one, one, mixed.weight * share),
            Terms(mixed.question, other, other, mixed.weight * (1 - share)),
        ]


def together(parts: list[Terms]) -> Terms:
    """All of them, one after the other."""
    return Terms(*map(np.concatenate, zip(*parts, strict=True)))


def _known_parents_only(parts: list[Terms]) -> Terms:
    """All of them, without those of an unknown parent, who is kin to nobody."""
    terms = together(parts)
    return terms.of(np.flatnonzero((terms.one != UNKNOWN) & (terms.other != UNKNOWN)))
