"""Kinship against genes dropped down the pedigree by independent libraries, msprime and tskit."""

import math

import msprime
import numpy as np
import pytest

from pedigree import Pedigree
from tests.pedigree import published
from tests.pedigree.families import random_rows

LOCI = 20_000
# A gap between neighbouring loci has a crossover with chance 1 - exp(-rate): with ln 2 it is 1/2,
# and the loci are independent.
RATE = math.log(2)


def dropped(ped, seed):
    """Kinship matrix and F of all animals, from the founder gene that reached each locus."""
    layout = ped._layout
    deepest = int(layout.level.max())
    demography = msprime.Demography.isolated_model([1000])
    builder = msprime.PedigreeBuilder(demography)
    made = {}
    for node in range(layout.size):
        parents = [int(layout.first[node]), int(layout.second[node])]
        time = deepest - int(layout.level[node])
        if parents != [-1, -1]:
            for place, parent in enumerate(parents):
                if parent == -1:  # a single unknown parent is a founder of its own
                    parents[place] = builder.add_individual(time=deepest + 1)
                else:
                    parents[place] = made[parent]
        known = {} if parents == [-1, -1] else {"parents": parents}
        made[node] = builder.add_individual(time=time, is_sample=True, **known)
    trees = msprime.sim_ancestry(
        initial_state=builder.finalise(LOCI),
        model="fixed_pedigree",
        recombination_rate=RATE,
        random_seed=seed,
    )
    nodes = np.array(
        [trees.individual(made[node]).nodes for node in layout.node_of_row.tolist()]
    ).ravel()
    size = len(ped)
    alike = np.zeros((2 * size, 2 * size))
    for tree in trees.trees():
        origin = np.array([_root(tree, node) for node in nodes.tolist()])
        alike += (origin[:, None] == origin) * tree.span
    alike /= LOCI
    kinship = alike.reshape(size, 2, size, 2).mean(axis=(1, 3))
    return kinship, alike[np.arange(0, 2 * size, 2), np.arange(1, 2 * size, 2)]


def _root(tree, node):
    while tree.parent(node) != -1:
        node = tree.parent(node)
    return node


def close_enough(found, wanted):
    """Within four standard errors; the variance of a mean of chances is at most p (1 - p) / n."""
    error = np.sqrt(np.maximum(wanted * (1 - wanted), 1e-9) / LOCI)
    return np.abs(found - wanted) <= 4 * error + 1e-12


@pytest.mark.parametrize("name", ["kvl_tabular_7", "mrode_ch2", "lynch_walsh_roan_gauntlet"])
def test_published_pedigrees_agree_with_dropped_genes(name):
    ped = published.pedigree(name)
    kinship, inbreeding = dropped(ped, seed=11)
    assert close_enough(kinship, ped.kinship_matrix(ped.ids)).all()
    assert close_enough(inbreeding, ped.inbreeding()).all()


@pytest.mark.parametrize("seed", [5, 8])
def test_inbred_pedigrees_agree_with_dropped_genes(seed):
    ped = Pedigree.from_rows(random_rows(seed, animals=12, unknown=0.1))
    assert ped.inbreeding().max() > 0.1
    kinship, inbreeding = dropped(ped, seed=seed)
    assert close_enough(kinship, ped.kinship_matrix(ped.ids)).all()
    assert close_enough(inbreeding, ped.inbreeding()).all()
