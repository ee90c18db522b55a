"""The table of the tabular method: whole or half, with or without those others stand for."""

from fractions import Fraction

import numpy as np
import pytest

from benchmarks.bench import SHAPES, closed_line, generated_rows
from pedigree import Pedigree
from pedigree.kinship import engines, front, matrices, tabular
from pedigree.kinship.front import Front
from tests.pedigree.families import exact_kinship, random_rows

KINDS = {
    "certain": {},
    "with selfing": {"selfing": True},
    "with uncertain sires": {"uncertain": 0.5},
    "closed": {"unknown": 0.0, "animals": 24},
}


@pytest.fixture
def every_single_is_left_out(monkeypatch):
    """Also in pedigrees so small that it does not pay."""
    monkeypatch.setattr(front, "FEW", 0)


def keep_half(monkeypatch):
    """Half of the table, in strips so narrow that a small pedigree fills many of them."""
    monkeypatch.setattr(tabular, "LARGEST_SQUARE", 0)
    monkeypatch.setattr(matrices, "STRIP", 8)
    monkeypatch.setattr(matrices.Strips, "together", 5)


@pytest.mark.usefixtures("every_single_is_left_out")
@pytest.mark.parametrize("half", [False, True], ids=["whole", "half"])
@pytest.mark.parametrize("kind", KINDS)
def test_leaving_out_whom_others_stand_for_changes_nothing(kind, half, monkeypatch):
    if half:
        keep_half(monkeypatch)
    for seed in range(60):
        layout = Pedigree.from_rows(random_rows(seed, **KINDS[kind]))._layout
        between = exact_kinship(layout)
        found = engines.of_all(layout, "tabular")
        pairs = zip(layout.first.tolist(), layout.second.tolist(), strict=True)
        wanted = [float(between(one, other)) for one, other in pairs]
        np.testing.assert_allclose(found.between, wanted, rtol=0, atol=1e-12)
        own = [float(between(node, node)) for node in range(layout.size)]
        np.testing.assert_allclose(found.own, own, rtol=0, atol=1e-12)
        nodes = layout.node_of_row[::3]
        among = [[float(between(a, b)) for b in nodes.tolist()] for a in nodes.tolist()]
        kept = engines.among(layout, nodes, None, "tabular")
        np.testing.assert_allclose(kept, among, rtol=0, atol=1e-12)


@pytest.mark.parametrize("shape", SHAPES, ids=[shape.name for shape in SHAPES])
def test_half_a_table_holds_the_same_numbers_bit_by_bit(shape, monkeypatch):
    rows = generated_rows(4_000, litter=shape.litter, sires=shape.sires, generations=30, seed=4)
    layout = Pedigree.from_rows(rows)._layout
    whole = engines.of_all(layout, "tabular").between
    keep_half(monkeypatch)
    assert np.array_equal(engines.of_all(layout, "tabular").between, whole)


@pytest.mark.usefixtures("every_single_is_left_out")
def test_up_to_25_generations_floats_are_the_fractions_themselves():
    layout = Pedigree.from_rows(closed_line(25, 4, 8, seed=2))._layout
    between = exact_kinship(layout)
    found = engines.of_all(layout, "tabular").between.tolist()
    pairs = zip(layout.first.tolist(), layout.second.tolist(), strict=True)
    assert [Fraction(f) for f in found] == [between(one, other) for one, other in pairs]


def enters(rows):
    """Who comes into the table when F of all is asked for."""
    levels = Pedigree.from_rows(rows)._layout.levels()
    label = Pedigree.from_rows(rows)._layout.label
    changes = Front(levels, np.empty(0, np.int64)).changes
    return sorted(label[levels.node[node]] for one in changes for node in one.entering.tolist())


# Two founders, a daughter, a daughter of hers, and the young of that one.
LINE = [
    ("Altair", None, None),
    ("Vega", None, None),
    ("Rigel", None, None),
    ("Mira", "Altair", "Vega"),
    ("Deneb", "Rigel", "Mira"),
    ("Spica", "Altair", "Deneb"),
]


@pytest.mark.usefixtures("every_single_is_left_out")
def test_of_a_mother_and_daughter_with_one_breeding_young_each_one_enters():
    # Deneb has no young that breed, so Rigel and Mira stand for her. Mira has one breeding young:
    # Altair and Vega would stand for her; but Vega has one too, and is left out before her.
    assert enters(LINE) == ["Altair", "Mira"]
    f = Pedigree.from_rows(LINE).inbreeding().tolist()
    assert f == [0, 0, 0, 0, 0, 1 / 8]  # Altair sire and great-grandsire: (1/2)^3


@pytest.mark.usefixtures("every_single_is_left_out")
def test_an_animal_mated_to_its_own_descendant_enters():
    # Own arithmetic: k(Vega, Deneb) = 1/8 where Vega is the grandmother and Altair unrelated to
    # her: one line of two steps, (1/2)^3. Her parents could not stand for her: they would say 0.
    rows = [*LINE[:5], ("Atria", "Deneb", "Vega"), ("Naos", "Deneb", "Atria")]
    assert "Vega" in enters(rows)
    f = dict(zip([row[0] for row in rows], Pedigree.from_rows(rows).inbreeding(), strict=True))
    assert f["Atria"] == 1 / 8
    # k(Deneb, Atria) = (k(Deneb, Deneb) + k(Deneb, Vega)) / 2 = (1/2 + 1/8) / 2
    assert f["Naos"] == 5 / 16


@pytest.mark.usefixtures("every_single_is_left_out")
def test_a_mating_with_a_far_descendant_counts_as_any_other():
    line = [("0", None, None)]
    line += [(str(n), str(n - 1), None) for n in range(1, front.FARTHEST_BACK + 4)]
    rows = [*line, ("young", "0", line[-1][0]), ("other", "young", None)]
    f = Pedigree.from_rows(rows).inbreeding()[-2]
    assert f == 0.5 ** (front.FARTHEST_BACK + 4)  # one line of so many steps


def test_who_has_left_the_half_table_is_squeezed_out(monkeypatch):
    keep_half(monkeypatch)
    table = matrices.Strips(20)

    def enter(*parents):
        stands = np.array([parents])
        scale = matrices.Scale(Pedigree.from_rows(LINE)._layout.levels(), "float")
        descent = matrices.Descent(stands, None, scale)
        return table.enter(descent, np.full(stands.shape[2], 0.5))

    founders = enter([0] * 16, [0] * 16)
    young = enter(founders[10:14], founders[12:16])
    kept = np.append(founders[12:], young)
    before = table.among(kept)
    table.leave(founders[:12])
    assert table.squeezed(1) is None
    moved = table.squeezed(10)
    assert moved[kept].tolist() == list(range(1, 9))
    assert np.array_equal(table.among(moved[kept]), before)
    # Own arithmetic: the young of 10 and 12, 11 and 13, 12 and 14, 13 and 15 with 12 to 15.
    with_founders = [[1, 0, 0, 0], [0, 1, 0, 0], [1, 0, 1, 0], [0, 1, 0, 1]]
    assert (4 * before[4:, :4]).tolist() == with_founders
