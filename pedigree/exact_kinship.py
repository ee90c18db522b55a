"""Kinship of two animals as an exact fraction."""

from fractions import Fraction

from pedigree.layout import HALF, UNKNOWN, Layout


class ExactKinship:
    """Exact kinship of single pairs of nodes; what was once worked out is kept.

    The younger of a pair is replaced by its parents until none is left (Malecot 1948), so the
    cost is the number of pairs of ancestors.
    """

    def __init__(self, layout: Layout) -> None:
        self._layout = layout
        self._known: dict[tuple[int, int], Fraction] = {}

    def inbreeding(self, node: int) -> Fraction:
        """F of a node: the kinship of its parents."""
        layout = self._layout
        if layout.is_mixture[node]:
            return 2 * self.between(node, node) - 1
        return self.between(int(layout.first[node]), int(layout.second[node]))

    def between(self, a: int, b: int) -> Fraction:
        """Kinship of two nodes."""
        known = self._known
        todo = [(a, b) if a >= b else (b, a)]
        while todo:
            pair = todo[-1]
            if pair in known:
                todo.pop()
                continue
            needed = self._needed(*pair)
            missing = [one for _, one in needed if one not in known]
            if missing:
                todo += missing
                continue
            todo.pop()
            own = Fraction(1, 2) if self._is_self(*pair) else Fraction(0)
            known[pair] = own + sum((weight * known[one] for weight, one in needed), Fraction(0))
        return known[(a, b) if a >= b else (b, a)]

    def _is_self(self, younger: int, older: int) -> bool:
        return younger == older != UNKNOWN and not self._layout.is_mixture[younger]

    def _needed(self, younger: int, older: int) -> list[tuple[Fraction, tuple[int, int]]]:
        if older == UNKNOWN:
            return []
        layout = self._layout
        one, other = int(layout.first[younger]), int(layout.second[younger])
        if self._is_self(younger, older):
            return [(HALF, (max(one, other), min(one, other)))]
        share = layout.exact_shares.get(younger, HALF)
        mixed = younger == older
        return [
            (part, (max(parent, against), min(parent, against)))
            for parent, part in ((one, share), (other, 1 - share))
            for against in [parent if mixed else older]
        ]
