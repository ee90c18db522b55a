"""A line kept pure against one outcross: what each generation costs, and when it shows again."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pedigree.errors import LineageError
from pedigree.rows import Floats, Ints

Bools = npt.NDArray[np.bool_]
MOST_PAIRS = 6  # of a generation


@dataclass(frozen=True)
class LineCourse:
    """By generation of young, the first being number 1: means over the simulated lines, and how
    much these may be off by chance (their standard error).

    inbreeding: F of the young. diversity: of the young, 1 - their mean kinship. shows: what part
    of them shows a recessive trait that every animal of the line shows today. again: in which
    generation it showed first after the outcross, on average; 1 where there was none.
    """

    inbreeding: tuple[float, ...]
    inbreeding_error: tuple[float, ...]
    diversity: tuple[float, ...]
    diversity_error: tuple[float, ...]
    shows: tuple[float, ...]
    again: float
    again_error: float


def keep_line(
    kinship: Floats,
    is_female: Bools,
    in_line: Bools,
    rng: "np.random.Generator",
    *,
    has_outcross: bool,
    generations: int = 6,
    litter: int = 4,
    replicates: int = 100,
) -> LineCourse:
    """Simulate a line onwards from the living.

    kinship (n, n) of the living, is_female and in_line (n,). Each generation every female of the
    line, MOST_PAIRS at most, goes to the male that is least kin to her, no male to more than two
    more than another; of a litter as many are female as male; who breeds next is drawn among those
    that show the trait, of each litter in turn, as many as bred before. With an outcross the first
    generation's males are those out of the line that are least kin to it (one kin to nobody where
    there is none), and their daughters go to males of the line, then as before.

    Raises LineageError for a line without a female or a male. Cost: replicates times generations
    times the square of a generation's young.
    """
    line = np.flatnonzero(in_line)
    if not is_female[line].any() or is_female[line].all():
        raise LineageError("A line is kept by a female and a male at least.")
    if litter < 2:
        raise LineageError(f"A litter has 2 young or more here, not {litter}.")
    runs = [
        _run(
            _begun(kinship, is_female, in_line, has_outcross),
            rng,
            has_outcross,
            generations,
            litter,
        )
        for _ in range(replicates)
    ]
    values = np.array([run for run, _ in runs])
    again = np.array([when for _, when in runs], np.float64)
    mean, error = values.mean(axis=0), values.std(axis=0) / np.sqrt(replicates)
    return LineCourse(
        tuple(mean[:, 0].tolist()),
        tuple(error[:, 0].tolist()),
        tuple(mean[:, 1].tolist()),
        tuple(error[:, 1].tolist()),
        tuple(mean[:, 2].tolist()),
        float(again.mean()),
        float(again.std() / np.sqrt(replicates)),
    )


@dataclass
class _Group:
    """Those who may breed: kinship, sex, copies of the trait's gene, and who is out of the line."""

    kinship: Floats
    is_female: Bools
    copies: Ints
    is_outside: Bools


def _begun(kinship: Floats, is_female: Bools, in_line: Bools, has_outcross: bool) -> _Group:
    line, outside = np.flatnonzero(in_line), np.empty(0, np.int64)
    if has_outcross:
        males = np.flatnonzero(~in_line & ~is_female)
        near = kinship[np.ix_(males, line)].mean(axis=1)
        outside = males[np.argsort(near, kind="stable")[:MOST_PAIRS]]
    here = np.concatenate([line, outside])
    table, female = kinship[np.ix_(here, here)], is_female[here]
    if has_outcross and not len(outside):  # one is bought
        table = np.pad(table, ((0, 1), (0, 1)))
        table[-1, -1] = 0.5
        female = np.append(female, False)
    copies = np.where(np.arange(len(table)) < len(line), 2, 0)
    return _Group(table, female, copies, copies == 0)


def _run(
    group: _Group, rng: "np.random.Generator", has_outcross: bool, generations: int, litter: int
) -> tuple[list[list[float]], int]:
    found, again = [], 0
    for generation in range(1, generations + 1):
        crossing = has_outcross and generation == 1
        dams, sires = _pairs(group, crossing, rng)
        found_now, group = _next(group, dams, sires, crossing, rng, litter)
        found.append(found_now)
        if not again and found_now[2] > 0:
            again = generation
    return found, again or generations + 1


def _pairs(group: _Group, crossing: bool, rng: "np.random.Generator") -> tuple[Ints, Ints]:
    """Each female with the male that is least kin to her among those used least."""
    females = rng.permutation(np.flatnonzero(group.is_female))[:MOST_PAIRS]
    males = np.flatnonzero(~group.is_female & (group.is_outside == crossing))
    used = np.zeros(len(males))
    sires = []
    for dam in females:
        open_to = used <= used.min() + 1
        cost = np.where(open_to, group.kinship[dam, males], np.inf)
        best = int(np.lexsort((used, cost))[0])
        used[best] += 1
        sires.append(males[best])
    return females, np.array(sires, np.int64)


def _next(
    group: _Group, dams: Ints, sires: Ints, crossing: bool, rng: "np.random.Generator", litter: int
) -> tuple[list[float], _Group]:
    of = np.repeat(np.arange(len(dams)), litter)
    dam, sire = dams[of], sires[of]
    inbreeding = group.kinship[dam, sire]
    half = (group.kinship[dam] + group.kinship[sire]) / 2
    among = (half[:, dam] + half[:, sire]) / 2
    np.fill_diagonal(among, (1 + inbreeding) / 2)
    copies = rng.binomial(1, group.copies[dam] / 2) + rng.binomial(1, group.copies[sire] / 2)
    is_female = np.tile(np.arange(litter) % 2 == 0, len(dams))
    figures = [float(inbreeding.mean()), 1 - float(among.mean()), float((copies == 2).mean())]
    number = max(2, min(len(dams) + len(set(sires.tolist())), 2 * MOST_PAIRS))
    if crossing:  # daughters, to go to the males of the line
        kept = _drawn(np.flatnonzero(is_female), of, len(dams), rng)
        males = np.flatnonzero(~group.is_female & ~group.is_outside)
    else:
        shows = copies == 2
        good = shows if (shows & is_female).any() and (shows & ~is_female).any() else shows | True
        kept = np.concatenate(
            [
                _drawn(np.flatnonzero(good & (is_female == sex)), of, (number + 1) // 2, rng)
                for sex in (True, False)
            ]
        )
        males = np.empty(0, np.int64)
    table = np.block(
        [
            [among[np.ix_(kept, kept)], half[np.ix_(kept, males)]],
            [half[np.ix_(kept, males)].T, group.kinship[np.ix_(males, males)]],
        ]
    )
    return figures, _Group(
        table,
        np.append(is_female[kept], group.is_female[males]),
        np.append(copies[kept], group.copies[males]),
        np.zeros(len(table), np.bool_),
    )


def _drawn(among: Ints, litter: Ints, number: int, rng: "np.random.Generator") -> Ints:
    """So many of these by chance, one of each litter before a second of any."""
    order = rng.permutation(among)
    turn = [int((litter[order[:at]] == litter[one]).sum()) for at, one in enumerate(order)]
    chosen: Ints = order[np.argsort(turn, kind="stable")[:number]]
    return chosen
