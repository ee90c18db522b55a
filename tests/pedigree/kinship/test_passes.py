"""Kinship of many nodes with each other in two passes, against exact fractions and the table."""

import numpy as np
import pytest

from pedigree import Pedigree
from pedigree.kinship import engines, passes
from pedigree.kinship.columns import mendelian_sampling
from pedigree.kinship.passes import Passes
from tests.pedigree.families import exact_kinship, random_rows
from tests.pedigree.kinship.test_engines import KINDS, full_sib_line, pedigrees


def made(layout):
    """The passes over the whole of a layout, and its levels."""
    levels, known = layout.levels(), engines.of_all(layout, "tabular")
    new = mendelian_sampling(levels, known.between[levels.node], known.own[levels.node])
    return Passes(levels, new), levels


@pytest.mark.parametrize("together", [1, 4, 2_048])
@pytest.mark.parametrize("kind", KINDS)
def test_two_passes_agree_with_exact_fractions(monkeypatch, kind, together):
    monkeypatch.setattr(passes, "TOGETHER", together)
    for ped in pedigrees(kind, 40):
        layout = ped._layout
        between = exact_kinship(layout)
        both_ways, levels = made(layout)
        nodes = np.random.default_rng(1).permutation(layout.size)[: 2 * layout.size // 3]
        wanted = [[float(between(a, b)) for b in nodes.tolist()] for a in nodes.tolist()]
        found = both_ways.among(levels.place[nodes])
        np.testing.assert_allclose(found, wanted, rtol=0, atol=1e-14)


@pytest.mark.parametrize("at_once", [1, 2, 3])
@pytest.mark.parametrize("kind", KINDS)
def test_rows_that_are_used_again_after_few_levels_change_nothing(monkeypatch, kind, at_once):
    monkeypatch.setattr(passes, "AT_ONCE", at_once)
    for ped in pedigrees(kind, 40):
        layout = ped._layout
        both_ways, levels = made(layout)
        nodes = np.flatnonzero(levels.without_young())
        table = engines.among(layout, levels.node[nodes], engine="tabular")
        np.testing.assert_allclose(both_ways.among(nodes), table, rtol=0, atol=1e-14)


@pytest.mark.parametrize("uncertain", [0.0, 0.2])
def test_tiles_of_columns_and_threads_change_nothing(monkeypatch, uncertain):
    monkeypatch.setattr(passes, "WIDEST", 8)
    layout = Pedigree.from_rows(random_rows(3, animals=400, uncertain=uncertain))._layout
    both_ways, levels = made(layout)
    nodes = np.arange(0, layout.size, 3)
    places = levels.place[nodes]
    found = both_ways.among(places, threads=1)
    assert np.array_equal(found, found.T)
    assert np.array_equal(found, both_ways.among(places, threads=3))
    table = engines.among(layout, nodes, engine="tabular")
    np.testing.assert_allclose(found, table, rtol=0, atol=1e-14)


def test_no_more_threads_have_a_tile_than_there_is_memory_for(monkeypatch):
    monkeypatch.setattr(passes, "WIDEST", 8)
    both_ways, levels = made(Pedigree.from_rows(random_rows(3, animals=400))._layout)
    places = np.arange(0, len(levels.first), 3)
    made_rooms = []

    class Room(passes._Room):
        def __init__(self, numbered, width):
            super().__init__(numbered, width)
            made_rooms.append(8 * numbered.size * width / 1e6)

    monkeypatch.setattr(passes, "_Room", Room)
    found = both_ways.among(places, threads=3)
    assert len(made_rooms) == 3
    one = made_rooms.pop()
    for memory, rooms in ((2.5 * one, 2), (0.5 * one, 1)):
        made_rooms.clear()
        monkeypatch.setattr(passes, "megabytes_for_a_table", lambda memory=memory: memory)
        assert np.array_equal(both_ways.among(places, threads=3), found)
        assert len(made_rooms) == rooms


def test_many_columns_are_made_in_passes_and_few_are_not(monkeypatch):
    chance = np.random.default_rng(1)
    rows = [(f"0-{n}", None, None) for n in range(600)]
    for g in range(1, 6):
        sires, dams = chance.integers(0, 300, 600), chance.integers(300, 600, 600)
        rows += [(f"{g}-{n}", f"{g - 1}-{sires[n]}", f"{g - 1}-{dams[n]}") for n in range(600)]
    layout = Pedigree.from_rows(rows)._layout
    known = engines.of_all(layout)
    asked = []

    class Seen(Passes):
        def among(self, nodes, threads=None):
            asked.append(len(nodes))
            return super().among(nodes, threads)

    monkeypatch.setattr(engines, "Passes", Seen)
    nodes = layout.node_of_row[-600::2]
    found = engines.among(layout, nodes, known, "columns")
    assert len(asked) == 1
    table = engines.among(layout, nodes, known, "tabular")
    np.testing.assert_allclose(found, table, rtol=0, atol=1e-14)
    engines.among(layout, nodes[:4], known, "columns")
    assert len(asked) == 1


def test_two_passes_give_what_is_published_of_a_line_of_full_sibs():
    # Wright 1921, Genetics 6:124-143: F of the young is 1/4, 3/8, 1/2, 19/32, 43/64, 47/64.
    layout = Pedigree.from_rows(full_sib_line(6))._layout
    both_ways, levels = made(layout)
    wanted = [1 / 4, 3 / 8, 1 / 2, 19 / 32, 43 / 64, 47 / 64]
    for generation, f in enumerate(wanted, start=1):
        pair = layout.node_of_row[2 * generation : 2 * generation + 2]
        assert both_ways.among(levels.place[pair])[0, 1] == f
