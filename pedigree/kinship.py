"""Kinship of the animals asked for, by the engine that suits the pedigree."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

import numpy as np

from pedigree.colleau import Columns, kinship_by_columns, mendelian_sampling
from pedigree.layout import Floats, Ints, Layout
from pedigree.tabular import Front, Numbers, tabular

Engine = Literal["tabular", "columns"]

# The tabular method wins while births times the front stay below this, in every case measured.
LARGEST_FRONT_COST = 100_000_000
LARGEST_FRONT = 5_000  # 200 MB of table
MOST_EXACT_LEVELS = 26  # 2 x 26 bits fit into the 53 of a float64


@dataclass(frozen=True)
class OfNodes:
    """Of every node of a layout: kinship of the two it stems from, and with itself."""

    between: Floats
    own: Floats


def of_all(layout: Layout, engine: Engine | None = None) -> OfNodes:
    """F of every node. Cost: that of the engine; the choice between them takes linear time."""
    levels = layout.levels()
    front = Front(levels, np.empty(0, np.int64))
    if engine is None:
        too_much = front.cost > LARGEST_FRONT_COST or front.peak > LARGEST_FRONT
        engine = "columns" if too_much else "tabular"
    if engine == "columns":
        between, own = kinship_by_columns(levels)
    else:
        table = tabular(levels, np.empty(0, np.int64), front)
        between, own = table.between, table.own
    in_order = np.empty(layout.size, np.int64)
    in_order[levels.node] = np.arange(layout.size)
    return OfNodes(between[in_order], own[in_order])


def among(
    layout: Layout, nodes: Ints, known: OfNodes | None = None, engine: Engine | None = None
) -> Floats:
    """Kinship of these nodes, each once, with each other, from their ancestors alone."""
    levels = layout.levels(layout.closure(nodes))
    places = levels.place[nodes]
    front = Front(levels, places)
    if engine is None:
        columns_cost = 8 * len(levels.first) * len(nodes)
        too_much = front.cost > columns_cost + (0 if known else LARGEST_FRONT_COST)
        engine = "columns" if too_much or front.peak > LARGEST_FRONT else "tabular"
    if engine == "tabular":
        return tabular(levels, places, front).kept
    if known is None:
        between, own = kinship_by_columns(levels)
    else:
        between, own = known.between[levels.node], known.own[levels.node]
    return Columns(levels, mendelian_sampling(levels, between, own)).among(places, places)


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
