"""How much of a founder's genes is still there: exactly, or by dropping genes."""

from __future__ import annotations  # evaluated, they would load numpy.random: 20 ms more

from fractions import Fraction

import numpy as np

from pedigree.layout import Levels, offspring
from pedigree.rows import HALF, Floats, Ints

MOST_STATES = 4_000


def retained(levels: Levels, living: Ints, founder: int) -> Fraction | None:
    """Chance that one given gene of a founder is in at least one of the living; exact.

    Goes down the family and keeps, for those that still become parents, how many copies each
    holds. None when there are too many such states.
    """
    is_living = np.zeros(len(levels.first) + 1, np.bool_)
    is_living[living] = True
    starts, young = offspring(levels.first, levels.second)
    family = _family(starts, young, founder)
    last_use = {
        node: max(young[starts[node] : starts[node + 1]].tolist(), default=-1) for node in family
    }
    if is_living[founder]:
        return Fraction(1)
    states: dict[tuple[tuple[int, int], ...], Fraction] = {((founder, 1),): Fraction(1)}
    present = Fraction(0)
    for node in family[1:]:
        one, other = int(levels.first[node]), int(levels.second[node])
        share = levels.exact_shares.get(node, HALF)
        after: dict[tuple[tuple[int, int], ...], Fraction] = {}
        for state, chance in states.items():
            copies = dict(state)
            for number, likely in _inherited(
                copies.get(one, 0), copies.get(other, 0), bool(levels.is_mixture[node]), share
            ):
                if number and is_living[node]:
                    present += chance * likely
                    continue
                held = {**copies, **({node: number} if number else {})}
                key = tuple(sorted((who, n) for who, n in held.items() if last_use[who] > node))
                if key:
                    after[key] = after.get(key, Fraction(0)) + chance * likely
        states = after
        if len(states) > MOST_STATES:
            return None
    return present


def _family(starts: Ints, young: Ints, founder: int) -> list[int]:
    """The founder and all who stem from it, parents before young."""
    found = {founder}
    ahead = [founder]
    while ahead:
        node = ahead.pop()
        for one in young[starts[node] : starts[node + 1]].tolist():
            if one not in found:
                found.add(one)
                ahead.append(one)
    return sorted(found)


def _inherited(
    one: int, other: int, is_mixture: bool, share: Fraction
) -> list[tuple[int, Fraction]]:
    """How many copies an animal gets, with the chance of each, from its parents' copies."""
    if is_mixture:
        likely = [(one, share), (other, 1 - share)]
    else:
        a, b = Fraction(one, 2), Fraction(other, 2)
        likely = [(0, (1 - a) * (1 - b)), (1, a * (1 - b) + b * (1 - a)), (2, a * b)]
    return [(number, chance) for number, chance in likely if chance]


def retained_by_dropping(
    levels: Levels, living: Ints, generator: np.random.Generator, drops: int
) -> Floats:
    """The same for every founder, estimated: genes dropped down the whole family `drops` times.

    Standard error at most 1/(2 sqrt(drops)). Source: MacCluer et al. 1986, Zoo Biol. 5:147-160.
    """
    founders = int(levels.starts[1])
    size = len(levels.first)
    kept = np.zeros(founders)
    batch = max(1, min(drops, 20_000_000 // max(size, 1)))
    done = 0
    while done < drops:
        count = min(batch, drops - done)
        genes = np.empty((size, 2, count), np.int32)
        genes[:founders] = np.arange(2 * founders, dtype=np.int32).reshape(founders, 2, 1)
        each = np.arange(count)
        for node in range(founders, size):
            one, other = int(levels.first[node]), int(levels.second[node])
            if levels.is_mixture[node]:
                from_one = generator.random(count) < levels.share[node]
                genes[node] = np.where(from_one, genes[one], genes[other])
                continue
            for slot, parent in ((0, one), (1, other)):
                genes[node, slot] = genes[parent, generator.integers(0, 2, count), each]
        present = np.zeros((2 * founders, count), np.bool_)
        for node in living.tolist():
            present[genes[node, 0], each] = True
            present[genes[node, 1], each] = True
        kept += present.reshape(founders, 2, count).mean(axis=1).sum(axis=1)
        done += count
    return kept / drops
