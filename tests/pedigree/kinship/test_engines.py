"""Kinship and inbreeding: both engines against exact fractions, and the laws they obey."""

import itertools
from fractions import Fraction

import numpy as np
import pytest

from pedigree import Pedigree
from pedigree.kinship import engines
from tests.pedigree.families import exact_kinship, random_rows

KINDS = {
    "certain": {},
    "with selfing": {"selfing": True},
    "with uncertain sires": {"uncertain": 0.5},
    "closed": {"unknown": 0.0, "animals": 24},
}


def pedigrees(kind, count):
    for seed in range(count):
        yield Pedigree.from_rows(random_rows(seed, **KINDS[kind]))


@pytest.mark.parametrize("engine", ["tabular", "columns"])
@pytest.mark.parametrize("kind", KINDS)
def test_each_engine_agrees_with_exact_fractions(kind, engine):
    for ped in pedigrees(kind, 100):
        layout = ped._layout
        between = exact_kinship(layout)
        found = engines.of_all(layout, engine)
        pairs = zip(layout.first.tolist(), layout.second.tolist(), strict=True)
        wanted = [float(between(one, other)) for one, other in pairs]
        np.testing.assert_allclose(found.between, wanted, rtol=0, atol=1e-12)
        own = [float(between(node, node)) for node in range(layout.size)]
        np.testing.assert_allclose(found.own, own, rtol=0, atol=1e-12)


@pytest.mark.parametrize("engine", ["tabular", "columns"])
@pytest.mark.parametrize("kind", KINDS)
def test_each_engine_gives_the_kinship_of_some_animals(kind, engine):
    for ped in pedigrees(kind, 40):
        layout = ped._layout
        between = exact_kinship(layout)
        nodes = layout.node_of_row[::3]
        wanted = [[float(between(a, b)) for b in nodes.tolist()] for a in nodes.tolist()]
        for known in (None, engines.of_all(layout)):
            found = engines.among(layout, nodes, known, engine)
            np.testing.assert_allclose(found, wanted, rtol=0, atol=1e-12)


@pytest.mark.parametrize("kind", KINDS)
def test_exact_kinship_is_exact(kind):
    for ped in pedigrees(kind, 40):
        layout = ped._layout
        between = exact_kinship(layout)
        nodes = layout.node_of_row[-3:]
        among, inbreeding, kept = engines.exactly(layout, nodes)
        for node, f in zip(among.tolist(), inbreeding, strict=True):
            assert f == between(int(layout.first[node]), int(layout.second[node]))
        for (x, a), (y, b) in itertools.product(enumerate(nodes.tolist()), repeat=2):
            assert kept[x, y] == between(a, b)


def full_sib_line(generations):
    rows = [("0m", None, None), ("0f", None, None)]
    for g in range(1, generations + 1):
        rows += [(f"{g}{sex}", f"{g - 1}m", f"{g - 1}f") for sex in "mf"]
    return rows


def test_a_line_too_deep_for_floating_point_is_still_exact():
    # Wright 1921: F(t) = (1 + 2 F(t-1) + F(t-2)) / 4 under continued full-sib mating.
    ped = Pedigree.from_rows(full_sib_line(60))
    wanted = [Fraction(0), Fraction(0)]
    for _ in range(59):
        wanted.append((1 + 2 * wanted[-1] + wanted[-2]) / 4)
    layout = ped._layout
    node = layout.node_of_row[[ped.row("60m")]]
    among, inbreeding, _ = engines.exactly(layout, node)
    assert inbreeding[among.tolist().index(int(node[0]))] == wanted[60]
    assert ped.inbreeding()[ped.row("60m")] == pytest.approx(float(wanted[60]), abs=1e-12)


def test_a_front_larger_than_its_room_is_squeezed_without_loss():
    rows = random_rows(7, animals=600, unknown=0.05)
    layout = Pedigree.from_rows(rows)._layout
    np.testing.assert_allclose(
        engines.of_all(layout, "tabular").between,
        engines.of_all(layout, "columns").between,
        rtol=0,
        atol=1e-12,
    )


def test_a_kinship_matrix_of_nobody_is_empty_and_of_one_twice_is_filled():
    ped = Pedigree.from_rows([("Mira", None, None)])
    assert ped.kinship_matrix([]).shape == (0, 0)
    assert ped.kinship_matrix(["Mira", "Mira"]).tolist() == [[0.5, 0.5], [0.5, 0.5]]
    assert Pedigree.from_rows([]).inbreeding().tolist() == []


@pytest.mark.parametrize("engine", [None, "tabular", "columns"])
def test_kinship_within_and_between_litters_comes_from_the_parents(engine):
    # Own arithmetic: full sibs of unrelated parents 1/4; the two litters share the sire: 1/8; the
    # third has an unknown sire and a dam of the first litter: 1/8 to her sibs, 1/16 to the others.
    rows = [("A", None, None), ("V", None, None), ("W", None, None), ("dam", "A", "V")]
    rows += [(f"a{n}", "A", "V") for n in range(3)] + [(f"b{n}", "A", "W") for n in range(3)]
    rows += [(f"c{n}", None, "dam") for n in range(2)]
    layout = Pedigree.from_rows(rows)._layout
    found = engines.among(layout, layout.node_of_row[4:], None, engine)
    wanted = np.zeros((8, 8))
    wanted[:3, :3] = wanted[3:6, 3:6] = 1 / 4
    wanted[:3, 3:6] = wanted[3:6, :3] = 1 / 8
    wanted[6:, :3] = wanted[:3, 6:] = 1 / 8
    wanted[6:, 3:6] = wanted[3:6, 6:] = 1 / 16
    wanted[6:, 6:] = 1 / 8  # half sibs: who their sire was is not known
    np.fill_diagonal(wanted, 1 / 2)
    np.testing.assert_allclose(found, wanted, rtol=0, atol=1e-15)


def test_founders_alone_are_kin_to_themselves_only():
    ped = Pedigree.from_rows([("A", None, None), ("V", None, None)])
    assert ped.kinship_matrix(["A", "V"]).tolist() == [[0.5, 0], [0, 0.5]]
