"""F of a pedigree that grows litter by litter, against exact fractions."""

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from pedigree import Pedigree
from pedigree.kinship import engines, growing
from tests.pedigree.families import exact_kinship, random_rows


def exact_inbreeding(ped):
    layout = ped._kin
    between = exact_kinship(layout)
    parents = zip(layout.first.tolist(), layout.second.tolist(), strict=True)
    found = np.array([float(between(one, other)) for one, other in parents])
    return found[layout.node_of_row]


def litters(rows, seed):
    """Litters of three whose parents are among the last ten, some of them born in here."""
    chance = np.random.default_rng(seed)
    names = [row[0] for row in rows]
    for number in range(12):
        sire, dam = chance.choice(names[-10:], 2, replace=False).tolist()
        young = [(f"{seed}-{number}-{one}", sire, dam) for one in range(3)]
        names += [row[0] for row in young]
        yield young


@pytest.mark.parametrize("uncertain", [0.0, 0.5])
@pytest.mark.parametrize("room", [1_100, 30, 1])
def test_f_of_litters_added_one_by_one_is_exact(monkeypatch, uncertain, room):
    monkeypatch.setattr(growing, "LARGEST_SQUARE", room)
    for seed in range(6):
        rows = random_rows(seed, animals=40, uncertain=uncertain, selfing=seed == 0)
        ped = Pedigree.from_rows(rows)
        ped.inbreeding()
        for young in litters(rows, seed):
            ped = ped.with_rows(young)
            ped.inbreeding()
        np.testing.assert_allclose(ped.inbreeding(), exact_inbreeding(ped), rtol=0, atol=1e-14)


def test_only_the_parents_of_what_is_added_are_in_the_table(monkeypatch):
    # The columns of the matrix are not asked: the table alone answers, and young do not enter.
    ped = Pedigree.from_rows(random_rows(1, animals=60))
    ped.inbreeding()
    monkeypatch.setattr(engines, "among", None)
    one, other = ped.ids[-2:]
    for number in range(5):
        ped = ped.with_rows([(f"{number}-{young}", one, other) for young in range(3)])
        ped.inbreeding()
    there = {one, other} | ped.ancestors(one) | ped.ancestors(other)
    nodes = set(ped._growing._table._nodes.tolist())
    assert nodes == {int(ped._kin.node_of_row[ped.row(animal)]) for animal in there}


def test_two_pedigrees_grown_of_one_in_turn_do_not_meet_in_the_table():
    # The same numbers stand for other animals in each of them.
    rows = random_rows(3, animals=40)
    start = Pedigree.from_rows(rows)
    start.inbreeding()
    grown = [start, start]
    for both in zip(litters(rows, 1), litters(rows, 2), strict=True):
        grown = [ped.with_rows(young) for ped, young in zip(grown, both, strict=True)]
        for ped in grown:
            ped.inbreeding()
    for ped in grown:
        np.testing.assert_allclose(ped.inbreeding(), exact_inbreeding(ped), rtol=0, atol=1e-14)


def test_threads_may_grow_one_pedigree_at_the_same_time():
    rows = random_rows(5, animals=40)
    start = Pedigree.from_rows(rows)
    start.inbreeding()

    def grow(seed):
        ped = start
        for young in litters(rows, seed):
            ped = ped.with_rows(young)
            ped.inbreeding()
        return ped

    with ThreadPoolExecutor(4) as threads:
        for ped in threads.map(grow, range(8)):
            found = ped.inbreeding()
            np.testing.assert_allclose(found, exact_inbreeding(ped), rtol=0, atol=1e-14)
