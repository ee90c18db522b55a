"""Whether everything seen can be at all, and one way in which it can."""

import numpy as np

from pedigree.rows import Ints
from pedigree.traits.inheritance import STATES
from pedigree.traits.locus import Bools, Locus, possible_copies
from pedigree.traits.reckoned import MOST_MEGABYTES, Impossible, Reckoned

LIKELIEST_TO_FIT = (1, 0, 2)  # nearly every young can be had by two parents with one copy each


def is_possible(locus: Locus, most_megabytes: float = MOST_MEGABYTES) -> bool:
    """Whether there are genotypes of all under which everything was seen that was seen.

    Cost: mostly two passes over the trios; else that of `Reckoned`, or a search where this is too
    tangled.
    """
    core = locus.above(np.flatnonzero(locus.informed()).tolist())
    can = possible_copies(locus, core)
    if can is None or _with_one_copy(locus, core, can) is not None:
        return can is not None
    try:
        reckoned = Reckoned(locus, most_megabytes=most_megabytes)
        if reckoned.megabytes > most_megabytes:
            return a_way(locus) is not None
        return bool(np.isfinite(reckoned.logarithm))
    except Impossible:
        return False


def a_way(locus: Locus) -> Ints | None:
    """Copies of every node under which everything can be: (n,), 0 outside the core; None if none.

    One copy wherever it can be mostly fits, for two parents with one copy each have any young.
    Where it does not, one guess after the other: all that follows is struck out, and a guess that
    leads nowhere is taken back; in the worst case 3 to the power of the animals.
    """
    core = locus.above(np.flatnonzero(locus.informed()).tolist())
    start = possible_copies(locus, core)
    if start is None:
        return None
    quick = _with_one_copy(locus, core, start)
    stack = [start if quick is None else quick]
    while stack:
        can = stack.pop()
        open_nodes = np.flatnonzero(core & (can.sum(axis=1) > 1))
        if not len(open_nodes):
            return np.where(core, can.argmax(axis=1), 0)
        node = open_nodes[0]
        for copies in reversed([one for one in LIKELIEST_TO_FIT if can[node, one]]):
            guess: Bools = can.copy()
            guess[node] = np.arange(STATES) == copies
            if (found := possible_copies(locus, core, guess)) is not None:
                stack.append(found)
    return None


def _with_one_copy(locus: Locus, core: Bools, can: Bools) -> Bools | None:
    """One copy for all that can have it, if that fits and settles everybody: (n, 3)."""
    guess = can.copy()
    guess[core & can[:, 1]] = np.arange(STATES) == 1
    found = possible_copies(locus, core, guess)
    return found if found is not None and (found[core].sum(axis=1) == 1).all() else None
