"""Young added to a pedigree that is already laid out."""

from typing import Any

import numpy as np

from pedigree.layout import Layout
from pedigree.rows import HALF, UNKNOWN, Ints, Read


def extended(
    given: Read, layout: Layout, rows: list[tuple[Any, ...]]
) -> tuple[Read, Layout] | None:
    """The same with plain rows added at the end; None when they need a closer look.

    Plain: new ids, one known or no sire, no litter, parents old or in an earlier new row. Cost:
    copies of what is there, no sorting and no checking of the old rows.
    """
    row_of = dict(given.row_of)
    sire, dam = [], []
    for row in rows:
        if len(row) not in (3, 4) or (len(row) == 4 and row[3] is not None):
            return None
        try:
            one = UNKNOWN if row[1] is None else row_of.get(row[1])
            other = UNKNOWN if row[2] is None else row_of.get(row[2])
            if one is None or other is None or row[0] is None or row[0] in row_of:
                return None
        except TypeError:
            return None
        row_of[row[0]] = len(row_of)
        sire.append(one)
        dam.append(other)
    ids = tuple(row[0] for row in rows)
    read = Read(
        given.ids + ids,
        row_of,
        np.append(given.sire, np.array(sire, np.int64)),
        np.append(given.dam, np.array(dam, np.int64)),
        given.beliefs,
        given.litter,
    )
    nodes = np.arange(layout.size, layout.size + len(rows))
    node_of_row = np.append(layout.node_of_row, nodes)
    first, second = _nodes(node_of_row, sire), _nodes(node_of_row, dam)
    level = np.append(layout.level, np.zeros(len(rows), np.int64))
    for node, one, other in zip(nodes.tolist(), first.tolist(), second.tolist(), strict=True):
        above = [level[parent] for parent in (one, other) if parent != UNKNOWN]
        level[node] = max(above, default=-1) + 1
    return read, Layout(
        first=np.append(layout.first, first),
        second=np.append(layout.second, second),
        share=np.append(layout.share, np.full(len(rows), float(HALF))),
        is_mixture=np.append(layout.is_mixture, np.zeros(len(rows), np.bool_)),
        exact_shares=layout.exact_shares,
        level=level,
        node_of_row=node_of_row,
        label=layout.label + ids,
    )


def _nodes(node_of_row: Ints, rows: list[int]) -> Ints:
    wanted = np.array(rows, np.int64)
    nodes: Ints = np.where(wanted == UNKNOWN, UNKNOWN, node_of_row[wanted])
    return nodes
