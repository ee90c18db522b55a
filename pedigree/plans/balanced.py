"""A season's pairings between low F in the young and the diversity that the parents pass on."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from pedigree.errors import LineageError
from pedigree.plans.allocation import Pairs, Plan, plan_pairings
from pedigree.plans.flow import Bools
from pedigree.rows import Floats, Ints

GAIN = 1e-13  # a change that gains less is rounding
MOST_ROUNDS = 20


@dataclass(frozen=True)
class BalancedPlan:
    """Pairings and what they come to; rows are females, columns males, in the order given."""

    plan: Plan  # the best pairing of these animals this often; its proof is about that
    objective: float  # (1 - diversity) mean F + diversity x kinship_cost
    mean_inbreeding: float  # of the pairs
    kinship_cost: float  # what the litters add to mean kinship, see `balanced_plan`
    contributions: Floats  # (n,), share of the young's genes from each of the living
    _gradient: Floats
    _limits: dict[str, Any]

    @property
    def pairs(self) -> Pairs:
        """The pairs, by female and then male."""
        return self.plan.pairs

    @cached_property
    def above_best(self) -> float:
        """The objective is at most this much above that of the best plan of as many pairs.

        From the slope here to the best plan along it (Frank & Wolfe 1956); fractions of pairs
        count as plans in it, so it is wide where litters are few. 0 is a proof.
        """
        if not self.pairs:
            return 0.0
        best = plan_pairings(
            self.plan.rules.inbreeding, cost=self._gradient, litters=len(self.pairs), **self._limits
        )
        here = sum(float(self._gradient[pair]) for pair in self.pairs)
        return max(0.0, here - best.cost)


def balanced_plan(
    kinship: Any,
    females: Sequence[int] | Ints,
    males: Sequence[int] | Ints,
    *,
    diversity: float = 0.5,
    young_share: float = 1.0,
    mean_kinship: Any = None,
    per_female: int | Sequence[int] | None = 1,
    per_male: int | Sequence[int] | None = None,
    forbidden: Any = None,
    most: float | None = None,
    litters: int | None = None,
    required: Any = None,
    female_names: Sequence[Any] | None = None,
    male_names: Sequence[Any] | None = None,
    wanted: Sequence[Any] = (),
) -> BalancedPlan:
    """Pairings with a low sum of mean F and of what the litters add to mean kinship.

    `kinship` (n, n) of all the living; `females`, `males`: rows of it that may be paired.
    `diversity` 0 to 1 is the slider: 0 counts only F, 1 only kinship. `young_share` 0 to 1: the
    part of the living that this season's young will be (1: they replace their parents).
    `mean_kinship` (n,): of each with all the living, where `kinship` holds only some of them.
    The other rules as in `plan_pairings`, wanted pairs among them; raises what it raises.

    With c the share of each of the living in the young's genes (1/(2 litters) for each litter), y
    the young share and mk mean kinship, the mean kinship of living and young is
    (1 - y)^2 mean(mk) + 2 y (1 - y) c'mk + y^2 c'Kc. Its changing part over y is `kinship_cost` =
    2 (1 - y) c'mk + y c'Kc. Choosing by mean kinship alone (`slider_cost`) leaves out
    c'Kc: it takes several of one rare family, which are kin to each other. So here every litter
    counts with the others already chosen.

    Method: from the plan of least F, litters go to another male or another female as long as one
    such change gains, then the pairing is solved anew with every animal used as often; until
    neither gains. Not always the best there is: see `BalancedPlan.above_best`. Cost: litters times
    candidates a step, some litters steps: 0.02 s for 50 candidates, about a second for 500.

    Source: contributions, Meuwissen 1997, J. Anim. Sci. 75:934-940 (from memory), with the
    allocation of mates after Kinghorn 2011, Genet. Sel. Evol. 43:4 (from memory: one objective for
    both); the search is own construction.

    >>> kinship = np.full((6, 6), 0.0)
    >>> np.fill_diagonal(kinship, 0.5)
    >>> kinship[3, 4] = kinship[4, 3] = 0.25  # two brothers and an unrelated male
    >>> found = balanced_plan(kinship, [0, 1], [3, 4, 5], diversity=1.0, per_male=2)
    >>> found.kinship_cost, found.contributions.tolist()
    (0.125, [0.25, 0.25, 0.0, 0.25, 0.0, 0.25])
    """
    table = np.array(kinship, np.float64)
    if table.ndim != 2 or table.shape[0] != table.shape[1]:
        raise LineageError(f"kinship has the shape (animals, animals), not {table.shape}.")
    for name, value in (("diversity", diversity), ("young_share", young_share)):
        if not 0 <= value <= 1:
            raise LineageError(f"{name} is from 0 to 1, not {value}.")
    mean = table.mean(axis=1) if mean_kinship is None else np.array(mean_kinship, np.float64)
    if mean.shape != table.shape[:1]:
        raise LineageError(f"mean_kinship has the shape {table.shape[:1]}, not {mean.shape}.")
    dams, sires = _rows(females, "females", len(table)), _rows(males, "males", len(table))
    limits = {
        "per_female": per_female,
        "per_male": per_male,
        "forbidden": forbidden,
        "most": most,
        "required": required,
        "females": female_names,
        "males": male_names,
        "wanted": wanted,
    }
    inbreeding = table[np.ix_(dams, sires)]
    plan = plan_pairings(inbreeding, litters=litters, **limits)
    season = _Season(table, mean, dams, sires, plan, diversity, young_share)
    if plan.pairs and diversity:
        for _ in range(MOST_ROUNDS):
            before = season.objective()
            season.move()
            plan = plan_pairings(
                inbreeding,
                **{
                    **limits,
                    "per_female": season.chosen.sum(axis=1).tolist(),
                    "per_male": season.chosen.sum(axis=0).tolist(),
                },
            )
            season.take(plan)
            if season.objective() > before - GAIN:
                break
    return BalancedPlan(
        plan,
        season.objective(),
        plan.mean,
        season.kinship_cost(),
        season.shares,
        season.gradient(),
        limits,
    )


def _rows(given: Any, name: str, size: int) -> Ints:
    rows = np.array(given)
    if rows.size == 0:
        return np.empty(0, np.int64)
    if rows.ndim != 1 or rows.dtype.kind not in "iu":
        raise LineageError(f"{name} are rows of kinship as whole numbers, not {given!r:.80}.")
    wrong = rows[(rows < 0) | (rows >= size)]
    if len(wrong):
        raise LineageError(f"{name} are rows from 0 to {size - 1}, not {wrong[0]}.")
    return rows.astype(np.int64)


def _apart(kinship: Floats, animals: Ints) -> Floats:
    """K_aa + K_bb - 2 K_ab of every two: how c'Kc bends along an exchange of a for b."""
    among = kinship[np.ix_(animals, animals)]
    own = among.diagonal()
    apart: Floats = own + own[:, None] - 2 * among
    return apart


class _Season:
    """The pairs chosen so far, and what a change of one of them gains."""

    def __init__(
        self,
        kinship: Floats,
        mean: Floats,
        dams: Ints,
        sires: Ints,
        plan: Plan,
        diversity: float,
        share: float,
    ) -> None:
        self.kinship, self.dams, self.sires = kinship, dams, sires
        self.diversity, self.share = diversity, share
        self.mean = mean
        rules = plan.rules
        self.inbreeding = rules.inbreeding
        self.fixed = rules.required
        self.allowed: Bools = rules.allowed(rules.given) | rules.required
        self.room = rules.female_room, rules.male_room
        self.wanted = rules.wanted
        self.of_dams, self.of_sires = _apart(kinship, dams), _apart(kinship, sires)
        self.take(plan)

    def take(self, plan: Plan) -> None:
        self.chosen = np.zeros(self.allowed.shape, np.bool_)
        for pair in plan.pairs:
            self.chosen[pair] = True
        self.count = len(plan.pairs)
        self.shares = np.zeros(len(self.kinship))
        if self.count:
            each = 1 / (2 * self.count)
            np.add.at(self.shares, self.dams, each * self.chosen.sum(axis=1))
            np.add.at(self.shares, self.sires, each * self.chosen.sum(axis=0))
        self.pull = self.kinship @ self.shares

    def kinship_cost(self) -> float:
        linear, square = self.shares @ self.mean, self.shares @ self.pull
        return float(2 * (1 - self.share) * linear + self.share * square)

    def objective(self) -> float:
        mean = self.inbreeding[self.chosen].sum() / max(1, self.count)
        return float((1 - self.diversity) * mean + self.diversity * self.kinship_cost())

    def slope(self) -> Floats:
        """Of the kinship cost, by each of the living's share."""
        slope: Floats = 2 * (1 - self.share) * self.mean + 2 * self.share * self.pull
        return slope

    def gradient(self) -> Floats:
        """Of the objective, by each pair."""
        if not self.count:
            return np.zeros(self.allowed.shape)
        slope = self.slope() / (2 * self.count)
        parents = slope[self.dams][:, None] + slope[self.sires]
        found: Floats = (
            1 - self.diversity
        ) * self.inbreeding / self.count + self.diversity * parents
        return found

    def move(self) -> None:
        """Give litters to other males and females, the most gainful first, while that gains."""
        for _ in range(50 * self.count):
            by_male = self._best(self.chosen, self.sires, self.room[1])
            by_female = self._best(self.chosen.T, self.dams, self.room[0])
            gain, row, old, new = min(by_male, by_female)
            if gain > -GAIN:
                return
            if by_male <= by_female:
                self._change((row, old), (row, new), self.sires[old], self.sires[new])
            else:
                self._change((old, row), (new, row), self.dams[old], self.dams[new])

    def _change(self, old: tuple[int, int], new: tuple[int, int], loses: int, gets: int) -> None:
        self.chosen[old], self.chosen[new] = False, True
        each = 1 / (2 * self.count)
        self.shares[loses] -= each
        self.shares[gets] += each
        self.pull += each * (self.kinship[:, gets] - self.kinship[:, loses])

    def _best(self, chosen: Bools, animals: Ints, room: Ints) -> tuple[float, int, int, int]:
        """The best change of one pair's column: (change of the objective, row, old, new)."""
        turned = chosen is not self.chosen
        inbreeding = self.inbreeding.T if turned else self.inbreeding
        allowed = self.allowed.T if turned else self.allowed
        row, old = np.nonzero(chosen & ~(self.fixed.T if turned else self.fixed))
        if not len(row):
            return 0.0, 0, 0, 0
        each = 1 / (2 * self.count)
        slope = self.slope()[animals]
        curve = (self.of_dams if turned else self.of_sires)[old]
        kinship = each * (slope - slope[old][:, None]) + self.share * each**2 * curve
        low = (inbreeding[row] - inbreeding[row, old][:, None]) / self.count
        change = (1 - self.diversity) * low + self.diversity * kinship
        open_to = allowed[row] & ~chosen[row] & (chosen.sum(axis=0) < room)
        for one in self.wanted:
            pairs = one.pairs.T if turned else one.pairs
            if int((chosen & pairs).sum()) <= one.number:  # none of these may become another
                open_to &= pairs[row] | ~pairs[row, old][:, None]
        change = np.where(open_to, change, np.inf)
        at, new = np.unravel_index(int(change.argmin()), change.shape)
        return float(change[at, new]), int(row[at]), int(old[at]), int(new)
