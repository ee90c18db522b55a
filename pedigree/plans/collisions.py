"""Why no plan of pairings can be: the smallest sets of rules that collide, found by relaxing."""

import itertools
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from pedigree.plans.flow import Bools, Network, improved
from pedigree.plans.rules import KINDS, Rules
from pedigree.plans.solver import solved
from pedigree.plans.wished import Wanted, most_pairs
from pedigree.rows import Ints

PairOfNames = tuple[Any, Any]  # a female and a male, as they were named


@dataclass(frozen=True)
class WayOut:
    """The least by which one rule has to give so that there is a plan; it was tried.

    `to`: the number of litters that still can be, the limit of F that would do, or the room each
    would need; `pairs`: those to allow, or to do without.
    """

    rule: str
    to: float | int | None = None
    pairs: tuple[PairOfNames, ...] = ()


@dataclass(frozen=True)
class Collision:
    """A smallest set of rules that cannot all be kept: with any one lifted the others can.

    `required`: the fewest of the required pairs that still collide, where they are among them.
    """

    kinds: tuple[str, ...]
    required: tuple[PairOfNames, ...] = ()


class NoPlan(ValueError):  # noqa: N818 - reads as a sentence
    """No plan keeps all the rules; what it says in full is in its parts.

    `rules` are the names of arguments that collide first, `found` every smallest set, `ways_out`
    what would help, `bottleneck` why there are not more litters, `too_close` the required pairs
    above the limit of F with their F. `given` are the rules themselves.
    """

    def __init__(
        self,
        given: Rules,
        found: tuple[Collision, ...] = (),
        ways_out: tuple[WayOut, ...] = (),
        bottleneck: "Bottleneck | None" = None,
        too_close: tuple[tuple[PairOfNames, float], ...] = (),
    ) -> None:
        self.given, self.found, self.ways_out = given, found, ways_out
        self.bottleneck, self.too_close = bottleneck, too_close
        missing = "male" if len(given.females) else "female"
        said = " and ".join(self.rules) or f"no {missing} to choose from"
        super().__init__(f"No plan: {said}.")

    @property
    def rules(self) -> tuple[str, ...]:
        return self.found[0].kinds if self.found else ()

    @property
    def collisions(self) -> tuple[tuple[str, ...], ...]:
        return tuple(one.kinds for one in self.found)


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
    if left is None:
        return -1
    needs = [(pairs, number) for pairs, number in rules.needs(keep) if number]
    most = most_pairs(left, needs, 0) if needs else left.largest()[0]
    return -1 if most is None else most + int(rules.needed(keep).sum())


def can_be(rules: Rules, keep: frozenset[str]) -> bool:
    """Whether there is a plan when only the rules in `keep` hold.

    Without a wish for a number of litters there must be at least one pairing to speak of a plan.
    """
    most = largest(rules, keep)
    if rules.litters is None:
        return most >= 1
    wanted = rules.litters if "litters" in keep else 0
    fewest = int(rules.needed(keep).sum())
    if most < wanted or ("litters" in keep and fewest > wanted):
        return False
    needs = [(pairs, number) for pairs, number in rules.needs(keep) if number]
    if not needs or "litters" not in keep:
        return most >= 0 or not rules.needs(keep)
    left = network(rules, keep)
    return (
        left is not None and most_pairs(left, needs, wanted - fewest, wanted - fewest) is not None
    )


def no_plan(rules: Rules) -> NoPlan:
    """Which rules collide, by relaxing every set of them (at most 64)."""
    rows, columns = rules.inbreeding.shape
    if not rows or not columns:
        return NoPlan(rules)

    @cache
    def holds(keep: frozenset[str]) -> bool:
        return can_be(rules, keep)

    if not holds(frozenset()) or (rules.litters or 0) > rows * columns:
        return NoPlan(rules, (Collision(("litters",)),), (WayOut("litters", rows * columns),))
    collisions: list[tuple[str, ...]] = []
    for size in range(1, len(rules.given) + 1):
        for some in itertools.combinations([one for one in KINDS if one in rules.given], size):
            smaller = any(set(found) <= set(some) for found in collisions)
            if not smaller and not holds(frozenset(some)):
                collisions.append(some)
    first = collisions[0]
    return NoPlan(
        rules,
        tuple(Collision(one, _named(rules, _required_at_issue(rules, one))) for one in collisions),
        tuple(way for kind in KINDS if (way := _way_out(rules, kind)) is not None),
        bottleneck(rules, frozenset(first)) if "required" not in first else None,
        _too_close(rules) if len(first) == 2 and {"required", "most"} == set(first) else (),
    )


def _named(rules: Rules, pairs: Iterable[Sequence[int]]) -> tuple[PairOfNames, ...]:
    return tuple(rules.pair(row, column) for row, column in pairs)


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


def _too_close(rules: Rules) -> tuple[tuple[PairOfNames, float], ...]:
    """The required pairs above the limit of F, with their F."""
    limit = rules.most if rules.most is not None else 1.0
    over = np.argwhere(rules.required & (rules.inbreeding > limit)).tolist()
    return tuple(
        (rules.pair(row, column), float(rules.inbreeding[row, column])) for row, column in over
    )


# ------------------------------------------------------------------------------- ways out


def _way_out(rules: Rules, kind: str) -> WayOut | None:
    """The least by which this one rule has to give, all others kept; None: that is not enough."""
    rest = rules.given - {kind}
    if kind not in rules.given or not can_be(rules, rest):
        return None
    ways: dict[str, Callable[[Rules], WayOut | None]] = {
        "litters": _fewer_litters,
        "most": _higher_limit,
        "per_female": lambda all_rules: _more_room(all_rules, "female"),
        "per_male": lambda all_rules: _more_room(all_rules, "male"),
        "forbidden": _pairs_to_allow,
        "required": _pairs_to_give_up,
        "wanted": _fewer_wanted,
    }
    return ways[kind](rules)


def _fewer_litters(rules: Rules) -> WayOut | None:
    most = largest(rules, rules.given)
    number = max(min(rules.litters or 0, most), int(rules.required.sum()))
    return WayOut("litters", number) if 0 < number <= most else None


def _higher_limit(rules: Rules) -> WayOut:
    levels = np.unique(rules.inbreeding)
    enough = _first(len(levels), lambda k: can_be(_with(rules, most=float(levels[k])), rules.given))
    return WayOut("most", float(levels[enough]))


def _fewer_wanted(rules: Rules) -> WayOut | None:
    """The most of the wanted pairs, of each kind, that still can be."""

    def at_most(number: int) -> Rules:
        fewer = (Wanted(one.pairs, min(one.number, number), one.name) for one in rules.wanted)
        return _with(rules, wanted=tuple(fewer))

    most = max(one.number for one in rules.wanted)
    less = _first(most + 1, lambda k: can_be(at_most(most - k), rules.given))
    return WayOut("wanted", most - less) if most > less else None


def _more_room(rules: Rules, sex: str) -> WayOut:
    name = f"{sex}_room"
    room: Ints = getattr(rules, name)
    enough = _first(
        sum(rules.inbreeding.shape) + 1,
        lambda k: can_be(_with(rules, **{name: np.maximum(room, k)}), rules.given),
    )
    return WayOut(f"per_{sex}", enough)


def _first(size: int, holds: Callable[[int], bool]) -> int:
    """The least number from which on it holds; it holds for the last."""
    low, high = 0, size - 1
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle + 1, high)
    return low


def _pairs_to_allow(rules: Rules) -> WayOut | None:
    keep = rules.given - {"forbidden"}
    barred: Bools = rules.forbidden
    wanted = rules.litters if rules.litters is not None else max(1, int(rules.required.sum()))
    left = network(rules, keep, barred.astype(np.float64))
    if left is None:
        return None
    more = wanted - int(rules.required.sum())
    chosen = improved(left, solved(left, more)).residual.chosen
    lifted = np.argwhere((chosen | rules.required) & barred).tolist()
    return WayOut("forbidden", pairs=_named(rules, lifted)) if lifted else None


def _pairs_to_give_up(rules: Rules) -> WayOut | None:
    """Fewest required pairs to do without; as many as possible of them are kept."""
    pairs = [(row, column) for row, column in np.argwhere(rules.required).tolist()]
    for size in range(len(pairs) - 1, -1, -1):
        for some in itertools.islice(itertools.combinations(pairs, size), 2_000):
            if can_be(_requiring(rules, list(some)), rules.given):
                dropped = [pair for pair in pairs if pair not in some]
                return WayOut("required", pairs=_named(rules, dropped))
    return None
