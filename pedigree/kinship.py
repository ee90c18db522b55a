"""Kinship of all animals by the tabular method."""

import numpy as np

from pedigree.layout import Floats, Layout


def tabular(layout: Layout) -> Floats:
    """Kinship of every node with every node; the last row and column, unknown, stay zero.

    Source: Emik & Terrill 1949, J. Hered. 40:51-55; Henderson 1976, Biometrics 32:69-83.
    """
    size = layout.size
    table = np.zeros((size + 1, size + 1))
    for node in range(size):
        one, other, share = layout.first[node], layout.second[node], layout.share[node]
        row = share * table[one, :node] + (1 - share) * table[other, :node]
        table[node, :node] = table[:node, node] = row
        if layout.is_mixture[node]:
            table[node, node] = share * table[one, one] + (1 - share) * table[other, other]
        else:
            table[node, node] = (1 + table[one, other]) / 2
    return table
