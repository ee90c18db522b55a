"""Why no plan of pairings can be: the smallest sets of rules that collide, found by relaxing."""

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from pedigree.plans.flow import Bools, Network, improved
from pedigree.plans.rules import KINDS, Rules, counted, in_words, listed, percent
from pedigree.plans.solver import solved
from pedigree.rows import Ints


class NoPlan(ValueError):  # noqa: N818 - reads as a sentence
    """No plan keeps all the rules.

    `rules` are the names of arguments that collide: with any one of them lifted the others can
    all be kept. `collisions` holds every such smallest set, `ways_out` what of each rule would
    have to give so that there is a plan, in words; every one of them was tried.
    """

    def __init__(
        self,
        message: str,
        rules: tuple[str, ...] = (),
        collisions: tuple[tuple[str, ...], ...] = (),
        ways_out: tuple[str, ...] = (),
    ) -> None:
        self.rules, self.collisions, self.ways_out = rules, collisions, ways_out
        super().__init__(message)


def network(rules: Rules, keep: frozenset[str], cost: np.ndarray | None = None) -> Network | None:
    """The flow that is left when the required pairs are set; None when they cannot all be."""
    needed = rules.needed(keep)
    allowed = rules.allowed(keep)
    female_room, male_room = rules.room(keep)
    female_room = female_room - needed.sum(axis=1)
    male_room = male_room - needed.sum(axis=0)
    if (needed & ~allowed).any() or (female_room < 0).any() or (male_room < 0).any():
        return None
    free = allowed & ~needed
    return Network(np.zeros(free.shape) if cost is None else cost, free, female_room, male_room)


def largest(rules: Rules, keep: frozenset[str]) -> int:
    """How many pairings at most when only the rules in `keep` hold; -1: required ones collide."""
    left = network(rules, keep)
    return -1 if left is None else left.largest()[0] + int(rules.needed(keep).sum())


def can_be(rules: Rules, keep: frozenset[str]) -> bool:
    """Whether there is a plan when only the rules in `keep` hold.

    Without a wish for a number of litters there must be at least one pairing to speak of a plan.
    """
    most = largest(rules, keep)
    if rules.litters is None:
        return most >= 1
    wanted = rules.litters if "litters" in keep else 0
    fewest = int(rules.needed(keep).sum())
    return most >= wanted and ("litters" not in keep or fewest <= wanted)


def no_plan(rules: Rules) -> NoPlan:
    """Which rules collide, by relaxing every set of them (at most 64)."""
    rows, columns = rules.inbreeding.shape
    if not rows or not columns:
        missing = "female" if not rows else "male"
        return NoPlan(f"No plan: there is no {missing} to choose from.")

    @cache
    def holds(keep: frozenset[str]) -> bool:
        return can_be(rules, keep)

    if not holds(frozenset()) or (rules.litters or 0) > rows * columns:
        return NoPlan(
            f"No plan: {counted(rules.litters or 0, 'litter')} are wanted, but {rows} x {columns} "
            f"animals make only {counted(rows * columns, 'pair')}, each planned once at most.",
            ("litters",),
            (("litters",),),
            (f"{counted(rows * columns, 'litter')} at most",),
        )
    collisions: list[tuple[str, ...]] = []
    for size in range(1, len(rules.given) + 1):
        for some in itertools.combinations([one for one in KINDS if one in rules.given], size):
            smaller = any(set(found) <= set(some) for found in collisions)
            if not smaller and not holds(frozenset(some)):
                collisions.append(some)
    first = collisions[0]
    clauses = in_words(rules, _required_at_issue(rules, first))
    said = listed([clauses[one] for one in first])
    verb = "cannot be kept" if len(first) == 1 else "cannot all be kept"
    parts = [f"No plan: {said}; {'this' if len(first) == 1 else 'these'} {verb}."]
    if "required" not in first:
        parts.append(_that_leaves(bottleneck(rules, frozenset(first))))
    elif len(first) == 2 and "most" in first:
        parts.append(_inbreeding_of_required(rules))
    for other in collisions[1:]:
        clauses = in_words(rules, _required_at_issue(rules, other))
        parts.append(f"Also: {listed([clauses[one] for one in other])}.")
    ways = tuple(way for kind in rules.given for way in [_way_out(rules, kind)] if way)
    if ways:
        parts.append(f"There would be a plan with {' or with '.join(sorted(ways))}.")
    return NoPlan(" ".join(part for part in parts if part), first, tuple(collisions), ways)


def _required_at_issue(rules: Rules, collision: tuple[str, ...]) -> list[tuple[int, int]]:
    """A smallest set of the required pairs that still collides."""
    if "required" not in collision:
        return []
    pairs = [(row, column) for row, column in np.argwhere(rules.required).tolist()]
    keep = frozenset(collision)
    for pair in list(pairs):
        fewer = [one for one in pairs if one != pair]
        if not can_be(_requiring(rules, fewer), keep):
            pairs = fewer
    return pairs


def _requiring(rules: Rules, pairs: list[tuple[int, int]]) -> Rules:
    required = np.zeros_like(rules.required)
    for row, column in pairs:
        required[row, column] = True
    return _with(rules, required=required)


def _with(rules: Rules, **changes: object) -> Rules:
    return Rules(**{**vars(rules), **changes})


@dataclass(frozen=True)
class Bottleneck:
    """What keeps the number of litters down, as a sum that a reader can check.

    `rooms`: "female" or "male", how many litters each may have, and who they are; `others` pairs
    of animals that are not among them. Together they make `most`.
    """

    most: int
    rooms: tuple[tuple[str, int, tuple[Any, ...]], ...]
    others: int


def bottleneck(rules: Rules, keep: frozenset[str]) -> Bottleneck | None:
    """Why there are not more litters under these rules; None when required pairs cannot all be.

    Source: Ford & Fulkerson 1956, Can. J. Math. 8:399-404. Cost: one largest flow.
    """
    left = network(rules, keep)
    if left is None:
        return None
    number, chosen = left.largest()
    females, males = left.bottleneck(chosen)
    others = np.delete(np.delete(left.free, females, axis=0), males, axis=1)
    rooms = (
        *_rooms("female", rules.females, left.female_room, females),
        *_rooms("male", rules.males, left.male_room, males),
    )
    return Bottleneck(number, rooms, int(others.sum()))


def _rooms(
    noun: str, names: Sequence[Any], room: Ints, who: Ints
) -> Iterator[tuple[str, int, tuple[Any, ...]]]:
    for litters in sorted(set(room[who].tolist()) - {0}):
        yield noun, litters, tuple(names[one] for one in who.tolist() if room[one] == litters)


def _that_leaves(found: Bottleneck | None) -> str:
    if found is None:
        return ""
    if not found.most:
        return "That leaves no pair at all."
    return f"That leaves at most {counted(found.most, 'litter')}."


def _inbreeding_of_required(rules: Rules) -> str:
    limit = rules.most if rules.most is not None else 1.0
    over = [
        f"{rules.pair(row, column)} is {percent(rules.inbreeding[row, column])}"
        for row, column in np.argwhere(rules.required & (rules.inbreeding > limit)).tolist()
    ]
    return f"F of {listed(over)}." if over else ""


# ------------------------------------------------------------------------------- ways out


def _way_out(rules: Rules, kind: str) -> str | None:
    """The least by which this one rule has to give, all others kept; None: that is not enough."""
    rest = rules.given - {kind}
    if not can_be(rules, rest):
        return None
    ways: dict[str, Callable[[Rules], str | None]] = {
        "litters": _fewer_litters,
        "most": _higher_limit,
        "per_female": lambda all_rules: _more_room(all_rules, "female"),
        "per_male": lambda all_rules: _more_room(all_rules, "male"),
        "forbidden": _pairs_to_allow,
        "required": _pairs_to_give_up,
    }
    return ways[kind](rules)


def _fewer_litters(rules: Rules) -> str | None:
    most = largest(rules, rules.given)
    number = max(min(rules.litters or 0, most), int(rules.required.sum()))
    return f"{counted(number, 'litter')} in all" if 0 < number <= most else None


def _higher_limit(rules: Rules) -> str:
    levels = np.unique(rules.inbreeding)
    enough = _first(len(levels), lambda k: can_be(_with(rules, most=float(levels[k])), rules.given))
    return f"F up to {percent(levels[enough])}"


def _more_room(rules: Rules, sex: str) -> str:
    name = f"{sex}_room"
    room: Ints = getattr(rules, name)
    enough = _first(
        sum(rules.inbreeding.shape) + 1,
        lambda k: can_be(_with(rules, **{name: np.maximum(room, k)}), rules.given),
    )
    return f"up to {counted(enough, 'litter')} for each {sex}"


def _first(size: int, holds: Callable[[int], bool]) -> int:
    """The least number from which on it holds; it holds for the last."""
    low, high = 0, size - 1
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle + 1, high)
    return low


def _pairs_to_allow(rules: Rules) -> str | None:
    keep = rules.given - {"forbidden"}
    barred: Bools = rules.forbidden
    wanted = rules.litters if rules.litters is not None else max(1, int(rules.required.sum()))
    left = network(rules, keep, barred.astype(np.float64))
    if left is None:
        return None
    more = wanted - int(rules.required.sum())
    chosen = improved(left, solved(left, more)).residual.chosen
    lifted = np.argwhere((chosen | rules.required) & barred).tolist()
    return f"{listed([rules.pair(*pair) for pair in lifted])} allowed" if lifted else None


def _pairs_to_give_up(rules: Rules) -> str | None:
    """Fewest required pairs to do without; as many as possible of them are kept."""
    pairs = [(row, column) for row, column in np.argwhere(rules.required).tolist()]
    for size in range(len(pairs) - 1, -1, -1):
        for some in itertools.islice(itertools.combinations(pairs, size), 2_000):
            if can_be(_requiring(rules, list(some)), rules.given):
                dropped = [rules.pair(*pair) for pair in pairs if pair not in some]
                return f"no need for {listed(dropped)}"
    return None
