"""Kinship of the animals asked for, by the engine that suits the pedigree."""

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

import numpy as np

from pedigree.kinship.columns import Columns, kinship_by_columns, mendelian_sampling
from pedigree.kinship.front import Front
from pedigree.kinship.growing import Growing
from pedigree.kinship.matrices import Numbers
from pedigree.kinship.memory import megabytes_for_a_table
from pedigree.kinship.passes import Passes, width_of_tiles
from pedigree.kinship.schedule import Schedule
from pedigree.kinship.tabular import LARGEST_SQUARE, Table, tabular
from pedigree.kinship.tiles import by_tiles
from pedigree.layout import Layout, Levels, each_once
from pedigree.rows import UNKNOWN, Floats, Ints

Engine = Literal["tabular", "tiles", "columns"]

# As measured, a number of a table in tiles takes a third of one in the others
TILE_TIMES = 0.35
# As measured, a number of a column takes as long as one of the table, and a fifth of it where many
# columns are made together; then a call takes as long as so many numbers, a tile has some calls a
# level and one for each young of the animal with the most, and the numbering as many as two tiles.
# For F of all it is two, for then each sire's columns go through a part of their own.
COLUMN_TIMES = 1
COLUMN_TIMES_TOGETHER = 0.2
NUMBERS_OF_A_CALL = 75
CALLS_OF_A_LEVEL = 8
COLUMN_TIMES_BY_SIRE = 2
SO_FEW = 4_000  # numbers in columns that are reckoned before it is found out who is in a table
_NOBODY = np.empty(0, np.int64)
MOST_EXACT_LEVELS = 26  # 2 x 26 bits fit into the 53 of a float64


@dataclass(frozen=True)
class OfNodes:
    """Of every node of a layout: kinship of the two it stems from, and with itself."""

    between: Floats
    own: Floats


def of_all(layout: Layout, engine: Engine | None = None) -> OfNodes:
    """F of every node. Cost: that of the engine; the choice between them takes linear time."""
    levels = layout.levels()
    table = _table(levels, _NOBODY, _by_sires(levels), engine)
    if table is None:
        between, own = kinship_by_columns(levels)
    else:
        between, own = table.between, table.own
    in_order = np.empty(layout.size, np.int64)
    in_order[levels.node] = np.arange(layout.size)
    return OfNodes(between[in_order], own[in_order])


def of_more(layout: Layout, known: OfNodes, growing: Growing) -> OfNodes:
    """F of every node when that of the first ones is known and the rest was added after them.

    Cost: that of `growing` for the new animals' parents, or of their kinship where these stem from
    too many for it; of all animals when a fifth of them is new.
    """
    old = len(known.own)
    new = layout.size - old
    if new * 5 > layout.size:
        return of_all(layout)
    between = growing.between_parents(layout, old)
    if between is None:
        between = _between_parents(layout, known)
    return OfNodes(np.append(known.between, between), np.append(known.own, (1 + between) / 2))


def _between_parents(layout: Layout, known: OfNodes) -> Floats:
    """Kinship of the two that each new node stems from, see `of_more`."""
    old = len(known.own)
    parents = np.unique(np.concatenate([layout.first[old:], layout.second[old:]]))
    parents = parents[parents != UNKNOWN]
    table = np.zeros((len(parents) + 1, len(parents) + 1))
    if len(parents):
        table[:-1, :-1] = among(layout, parents, known if parents[-1] < old else None)
    place = np.full(layout.size + 1, len(parents))
    place[parents] = np.arange(len(parents))
    between: Floats = table[place[layout.first[old:]], place[layout.second[old:]]]
    return between


def among(
    layout: Layout, nodes: Ints, known: OfNodes | None = None, engine: Engine | None = None
) -> Floats:
    """Kinship of these nodes, each once, with each other, from their ancestors alone.

    Of those without young among these it is the mean of their parents', where these are fewer.
    Cost: that of the tabular method with these kept, or ancestors times nodes, whichever is less.
    """
    levels = layout.levels(layout.closure(nodes))
    places = levels.place[nodes]
    fewer = _with_parents(levels, places)
    if len(fewer) < len(nodes):
        return _from_parents(
            among(layout, levels.node[fewer], known, engine), levels, fewer, places
        )
    one_by_one = COLUMN_TIMES * len(levels.first) * len(nodes)
    together = _together(levels, len(nodes))
    by_columns = min(one_by_one, together)
    if known is None:
        by_columns += _by_sires(levels)
    between = None if known is None else known.between[levels.node]
    table = _table(levels, places, by_columns, engine, between)
    if table is not None:
        return table.kept
    if known is None:
        between, own = kinship_by_columns(levels)
    else:
        between, own = known.between[levels.node], known.own[levels.node]
    new = mendelian_sampling(levels, between, own)
    if together < one_by_one:
        return Passes(levels, new).among(places)
    return Columns(levels, new).among(places, places)


def _with_parents(levels: Levels, places: Ints) -> Ints:
    """These, but for those without young here, who are replaced by their parents; ascending."""
    is_last = levels.without_young()[places]
    parents = levels.parents(places[is_last])
    return each_once(np.concatenate([places[~is_last], parents[parents != UNKNOWN]]))


def _from_parents(table: Floats, levels: Levels, fewer: Ints, places: Ints) -> Floats:
    """Kinship of `places` from that of `fewer`, see `_with_parents`."""
    wider = np.zeros((len(fewer) + 1, len(fewer) + 1))  # with the unknown parent
    wider[:-1, :-1] = table
    row = np.full(len(levels.first) + 1, len(fewer))
    row[fewer] = np.arange(len(fewer))
    is_last = levels.without_young()[places]
    one, other = row[np.where(is_last, levels.parents(places), places)]
    found: Floats = wider[one]
    found += wider[other]
    found = found[:, one] + found[:, other]
    found *= 0.25
    itself = (1 + wider[one, other]) / 2
    found[is_last, is_last.nonzero()[0]] = itself[is_last]
    return found


def _table(
    levels: Levels,
    keep: Ints,
    by_columns: float,
    engine: Engine | None,
    known: Floats | None = None,
) -> Table | None:
    """By the tabular method, in tiles where it is large; None where columns are quicker.

    `by_columns` is what they would cost. A table for which there is no memory is not made; half a
    table may take less of it than the whole one in tiles.
    """
    if engine == "columns":
        return None
    if engine == "tiles":
        return by_tiles(levels, keep, known=known)
    if engine is None and by_columns < SO_FEW:
        return None
    front = Front(levels, keep)
    if engine == "tabular":
        return tabular(levels, keep, front)
    if front.peak <= LARGEST_SQUARE:
        return tabular(levels, keep, front) if front.cost <= by_columns else None
    if by_columns < TILE_TIMES * front.cost / 2:  # surely quicker
        return None
    at_hand = megabytes_for_a_table()
    schedule = Schedule(levels, keep, asks=known is None, who=front.who)
    in_tiles = TILE_TIMES * schedule.cells if schedule.megabytes <= at_hand else math.inf
    in_half = front.cost if front.megabytes <= at_hand else math.inf
    if by_columns < min(in_tiles, in_half):
        return None
    if in_half < in_tiles:
        return tabular(levels, keep, front)
    del front
    return by_tiles(levels, keep, schedule, known=known)


def _together(levels: Levels, columns: int) -> float:
    """What so many columns cost that are made together, see `Passes`."""
    size = len(levels.first)
    parents = np.concatenate([levels.first, levels.second])
    young = np.bincount(parents + 1, minlength=size + 1)[1:]
    most = np.maximum.reduceat(young, levels.starts[:-1])
    calls = (CALLS_OF_A_LEVEL * len(most) + int(most.sum())) * (
        2 + math.ceil(columns / width_of_tiles(size + 1, len(most)))
    )
    return COLUMN_TIMES_TOGETHER * size * columns + NUMBERS_OF_A_CALL * calls


def _by_sires(levels: Levels) -> int:
    """What F of all costs by columns: sires times their ancestors."""
    starts = levels.starts
    is_sire, is_parent = np.zeros((2, len(levels.first) + 1), np.bool_)
    is_sire[levels.first] = True
    is_parent[levels.first] = is_parent[levels.second] = True
    sires = np.diff(np.append(0, np.cumsum(is_sire[:-1]))[starts])
    ancestors = np.append(0, np.cumsum(is_parent[:-1]))[starts[1:]]
    return COLUMN_TIMES_BY_SIRE * int(sires @ ancestors)


def exactly(layout: Layout, nodes: Ints) -> tuple[Ints, Numbers, Numbers]:
    """Exact: the nodes' ancestors and themselves, F of each of them, kinship of `nodes`.

    In floating point where that loses nothing, else in whole numbers or fractions. The last two
    hold Fractions.
    """
    levels = layout.levels(layout.closure(nodes))
    places = levels.place[nodes]
    if levels.is_mixture.any():
        table = tabular(levels, places, numbers="fraction")
    elif len(levels.starts) - 1 > MOST_EXACT_LEVELS:
        table = tabular(levels, places, numbers="integer")
    else:
        found = tabular(levels, places)
        return levels.node, _fractions(found.between), _fractions(found.kept)
    return levels.node, table.between, table.kept


def _fractions(numbers: Floats) -> Numbers:
    exact = np.empty(numbers.size, dtype=object)
    exact[:] = [Fraction(number) for number in numbers.ravel().tolist()]
    return exact.reshape(numbers.shape)
