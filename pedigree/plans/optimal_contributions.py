"""How many young each animal should leave so that the next generation keeps most diversity."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from pedigree.errors import LineageError
from pedigree.figures.diversity import LivingKinship
from pedigree.rows import Floats, Ints

Bools = npt.NDArray[np.bool_]

ENOUGH = 1e-12  # the answer is at most this far above the least mean kinship
ROUNDING = 1e-9  # bounds that sum to a half within this do so
MOST_ROUNDS = 200_000
OF_ITS_OWN = 1e-5  # the root of what of an animal's kinship with itself the others do not tell


@dataclass(frozen=True)
class Contributions:
    """The best contributions, and how sure that is."""

    shares: Floats  # (n,), of the genes of the young; each sex sums to 1/2
    mean_kinship: float  # among the young: shares' K shares, each one's own part left out
    above_least: float  # at most this much more than the least possible mean kinship
    rounds: int
    _male: Bools

    @property
    def gene_diversity(self) -> float:
        """1 - mean kinship."""
        return 1 - self.mean_kinship

    def young(self, total: int) -> Ints:
        """Whole numbers of young for each animal, `total` by the males and by the females.

        Rounded by largest remainders, ties to the first; bounds may be missed by less than one.

        >>> found = optimal_contributions(np.eye(3) / 2, [True, False, False])
        >>> found.young(5).tolist()
        [5, 3, 2]
        """
        if total < 0 or total != int(total):
            raise LineageError(f"The young are a whole number, 0 or more, not {total}.")
        wanted = self.shares * 2 * total
        whole = np.floor(wanted + ROUNDING)
        for sex in (self._male, ~self._male):
            left = round(total - whole[sex].sum())
            first = np.argsort(-(wanted - whole)[sex], kind="stable")[:left]
            whole[np.flatnonzero(sex)[first]] += 1
        return whole.astype(np.int64)


def optimal_contributions(
    kinship: Any,
    is_male: Sequence[bool] | Bools,
    *,
    least: Any = 0.0,
    most: Any = 0.5,
) -> Contributions:
    """Shares c of the genes of the young that make their mean kinship c'Kc least.

    `kinship` (n, n): symmetric, positive semidefinite, 0 to 1, as from `kinship_matrix`; it may be
    singular (clones, full sibs that stand for each other), then one of the equally good answers is
    given. `is_male` (n,). `least`, `most`: bounds of each share, one number or (n,), 0 to 1/2. The
    shares of each sex sum to 1/2. The mean kinship is that of very many young: the kinship of each
    with itself and chance in who inherits what are left out.

    Method: exchange between the two animals of one sex that gain most by it, each step exact, as in
    sequential minimal optimisation (Platt 1998; second-order choice of the pair: Fan, Chen & Lin
    2005, J. Mach. Learn. Res. 6:1889-1918), then the shares between bounds at once by their linear
    equations. It stops when first-order bounds (Frank & Wolfe 1956, Nav. Res. Logist. Q. 3:95-110)
    show c'Kc to be within 1e-12 of the least. Cost: n a step, some n steps; see `above_least`.

    Raises LineageError for a sex that is missing, bounds that cannot sum to 1/2 and bad values.

    Source: Meuwissen 1997, J. Anim. Sci. 75:934-940 (the problem; from memory).

    >>> kinship = np.diag([0.5, 0.5, 0.5, 0.5])
    >>> found = optimal_contributions(kinship, [True, True, False, False])
    >>> found.shares.round(12).tolist(), round(found.mean_kinship, 12)
    ([0.25, 0.25, 0.25, 0.25], 0.125)
    """
    table, male = _checked(kinship, is_male)
    size = len(male)
    low, high = _bound(least, "least", size), _bound(most, "most", size)
    if (low > high).any():
        at = int(np.argmax(low > high))
        raise LineageError(
            f"Animal {at} has the least share {low[at]:g} above the most, {high[at]:g}."
        )
    shares = np.empty(size)
    for name, sex in (("males", male), ("females", ~male)):
        if not sex.any():
            raise LineageError(f"There are no {name}; half of the genes come from each sex.")
        for bound, word in ((low[sex].sum() - 0.5, "least"), (0.5 - high[sex].sum(), "most")):
            if bound > ROUNDING:
                total = (low if word == "least" else high)[sex].sum()
                side = "above" if word == "least" else "below"
                raise LineageError(
                    f"The {word} shares of the {name} sum to {total:g}, {side} 0.5: each sex gives "
                    "half of the genes."
                )
        shares[sex] = _level(low[sex], high[sex])
    return _solved(table, male, low, high, shares)


def _checked(kinship: Any, is_male: Any) -> tuple[Floats, Bools]:
    try:
        table = np.array(kinship, np.float64)
    except (TypeError, ValueError):
        raise LineageError("kinship is a square table of numbers.") from None
    if table.ndim != 2 or table.shape[0] != table.shape[1]:
        raise LineageError(f"kinship has the shape (animals, animals), not {table.shape}.")
    wrong = ~((table >= -ROUNDING) & (table <= 1 + ROUNDING))  # also nan
    if wrong.any():
        row, column = np.argwhere(wrong)[0].tolist()
        raise LineageError(
            f"Kinship is from 0 to 1, not {table[row, column]} (row {row}, column {column})."
        )
    if not np.allclose(table, table.T, rtol=0, atol=ROUNDING):
        row, column = np.unravel_index(np.abs(table - table.T).argmax(), table.shape)
        raise LineageError(
            f"kinship is the same both ways, not {table[row, column]:g} and "
            f"{table[column, row]:g} (row {row}, column {column})."
        )
    male = np.array(is_male)
    if male.shape != (len(table),) or not np.isin(male, (0, 1)).all():
        raise LineageError(
            f"is_male has True or False for each of {len(table)} animals, not {is_male!r:.80}."
        )
    return table, male.astype(np.bool_)


def _bound(value: Any, name: str, size: int) -> Floats:
    try:
        bound = np.array(value, np.float64)
    except (TypeError, ValueError):
        raise LineageError(
            f"{name} is a share or one for each animal, not {value!r:.80}."
        ) from None
    if bound.shape not in ((), (size,)):
        raise LineageError(f"{name} is one share or one for each of {size}, not {bound.shape}.")
    bound = np.broadcast_to(bound, (size,)).copy()
    wrong = ~((bound >= 0) & (bound <= 0.5))
    if wrong.any():
        raise LineageError(f"{name} is from 0 to 0.5, not {bound[wrong][0]}.")
    return bound


def _level(low: Floats, high: Floats) -> Floats:
    """Shares that sum to 1/2 within bounds, as even as the bounds let them be."""
    below, above = 0.0, 0.5
    for _ in range(60):
        middle = (below + above) / 2
        if np.clip(middle, low, high).sum() < 0.5:
            below = middle
        else:
            above = middle
    shares: Floats = np.clip(above, low, high)
    return shares


def _solved(
    kinship: Floats, male: Bools, low: Floats, high: Floats, shares: Floats
) -> Contributions:
    sexes = [np.flatnonzero(male), np.flatnonzero(~male)]
    pull = kinship @ shares  # half the slope of c'Kc
    own = kinship.diagonal()
    rounds, check_at, checked_at = 0, 0, 0
    while rounds < MOST_ROUNDS:
        if rounds >= check_at:  # sums drift: reckon anew, try the finish, and look how far it is
            shares = _finished(kinship, sexes, low, high, shares)
            pull = kinship @ shares
            if _above_least(pull, sexes, low, high, shares) <= ENOUGH:
                break
            checked_at, check_at = rounds, rounds + max(100, len(shares))
        rounds += 1
        best = (0.0, 0, 0, 0.0)
        for sex in sexes:
            may_rise = sex[shares[sex] < high[sex]]
            may_fall = sex[shares[sex] > low[sex]]
            if not len(may_rise) or not len(may_fall):
                continue
            gets = may_rise[pull[may_rise].argmin()]
            gain = pull[may_fall] - pull[gets]
            curve = np.maximum(own[gets] + own[may_fall] - 2 * kinship[gets, may_fall], 1e-15)
            worth = np.where(gain > 0, gain * gain / curve, 0)
            at = int(worth.argmax())
            if worth[at] > best[0]:
                best = (float(worth[at]), int(gets), int(may_fall[at]), float(gain[at] / curve[at]))
        worth_most, gets, gives, step = best
        if not worth_most:
            if rounds == checked_at + 1:
                break  # nothing is left to gain in float64
            check_at = rounds
            continue
        step = min(step, high[gets] - shares[gets], shares[gives] - low[gives])
        shares[gets] = high[gets] if step == high[gets] - shares[gets] else shares[gets] + step
        shares[gives] = low[gives] if step == shares[gives] - low[gives] else shares[gives] - step
        pull += step * (kinship[:, gets] - kinship[:, gives])
    pull = kinship @ shares
    above_least = _above_least(pull, sexes, low, high, shares)
    return Contributions(shares, float(shares @ pull), above_least, rounds, male)


def _above_least(
    pull: Floats, sexes: list[Ints], low: Floats, high: Floats, shares: Floats
) -> float:
    """How far c'Kc can be above its least: the slope towards the best corner.

    c'Kc is convex, so no z within the bounds has z'Kz below c'Kc - 2 (Kc)'(c - z).
    """
    corner = low.copy()
    for sex in sexes:
        left = 0.5 - low[sex].sum()
        for one in sex[np.argsort(pull[sex], kind="stable")].tolist():
            more = min(left, high[one] - low[one])
            corner[one] += more
            left -= more
            if left <= 0:
                break
    return max(0.0, 2 * float(pull @ (shares - corner)))


def _finished(
    kinship: Floats, sexes: list[Ints], low: Floats, high: Floats, shares: Floats
) -> Floats:
    """The shares strictly between bounds solved at once; as they were if that breaks a bound."""
    between = (shares > low) & (shares < high)
    free = np.flatnonzero(between)
    if not len(free):
        return shares
    rows = np.array([np.isin(free, sex) for sex in sexes], np.float64)
    rows = rows[rows.any(axis=1)]
    count, sums = len(free), len(rows)
    system = np.zeros((count + sums, count + sums))
    system[:count, :count] = kinship[np.ix_(free, free)]
    system[:count, count:] = rows.T
    system[count:, :count] = rows
    pull = kinship @ shares
    step = _solve(system, count, np.concatenate([-pull[free], np.zeros(sums)]))
    moved = shares.copy()
    moved[free] += step[:count]
    inside = (moved >= low).all() and (moved <= high).all()
    sums_hold = all(abs(moved[sex].sum() - 0.5) < ROUNDING for sex in sexes)
    if inside and sums_hold and moved @ kinship @ moved <= shares @ pull:
        return moved
    return shares


def _solve(system: Floats, count: int, right: Floats) -> Floats:
    """The unknowns of a symmetric system whose first `count` rows and columns are kinship.

    Where one animal's kinship follows from that of others many answers are right, and the shortest
    is taken: that costs about thirty times as much.
    """
    try:
        of_each = np.linalg.cholesky(system[:count, :count]).diagonal()
        if of_each.min() > OF_ITS_OWN:
            return np.asarray(np.linalg.solve(system, right), np.float64)
    except np.linalg.LinAlgError:
        pass
    return np.asarray(np.linalg.lstsq(system, right, rcond=1e-13)[0], np.float64)


# ------------------------------------------------------------------------- pairs and a slider


def diversity_gained(
    living: LivingKinship, females: Sequence[Any], males: Sequence[Any], young: int = 1
) -> Floats:
    """What a litter of each pair adds to the gene diversity of the living: (females, males).

    Negative where the litter makes the living more alike. The living include the parents. Array
    time. Raises UnknownAnimal.

    >>> from pedigree import Pedigree
    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None)])
    >>> diversity_gained(LivingKinship.of(ped, ["Altair", "Vega"]), ["Vega"], ["Altair"], 2)
    array([[-0.03125]])
    """
    after = living.after_litters(males, females, young)
    gained: Floats = np.asarray(after.gene_diversity).T - living.gene_diversity
    return gained


def slider_cost(
    inbreeding: Any, mean_kinship_females: Any, mean_kinship_males: Any, diversity: float
) -> Floats:
    """A cost for `plan_pairings` between low F in the young and the program's diversity.

    (1 - diversity) F + diversity (mean kinship of the dam + that of the sire) / 2, all of them 0 to
    1: at 0 only F counts, at 1 only how rare the parents' genes are among the living, since young
    of two parents are kin to the living as the mean of the parents is. Shapes (females, males),
    (females,), (males,); `diversity` 0 to 1. Mean kinship counts the more the freer the plan is in
    whom it takes: with every female to be paired and males at their limits only F is left to
    choose. It is quick and proven, but near 1 it picks several of one rare family, which are kin to
    each other, and keeps less diversity than chance: for a season prefer `balanced_plan`.

    Source: own choice of a weighted sum; mean kinship as in `mean_kinship`.

    >>> slider_cost([[0.25, 0.0]], [0.2], [0.1, 0.3], 0.5).round(4).tolist()
    [[0.2, 0.125]]
    """
    if not 0 <= diversity <= 1:
        raise LineageError(f"diversity is from 0 (only F) to 1, not {diversity}.")
    table = np.asarray(inbreeding, np.float64)
    dams, sires = np.asarray(mean_kinship_females), np.asarray(mean_kinship_males)
    if table.ndim != 2 or dams.shape != table.shape[:1] or sires.shape != table.shape[1:]:
        raise LineageError(
            f"F (females, males) and mean kinship of each fit together, not {table.shape}, "
            f"{dams.shape} and {sires.shape}."
        )
    cost: Floats = (1 - diversity) * table + diversity * (dams[:, None] + sires) / 2
    return cost
