"""The table in tiles: early questions, any number of threads, places used again."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.bench import SHAPES, closed_line, generated_rows
from pedigree import Pedigree
from pedigree.kinship import engines, front, memory, schedule, tiles
from pedigree.kinship.schedule import Schedule
from pedigree.kinship.tabular import tabular
from pedigree.kinship.tiles import by_tiles
from tests.pedigree.families import exact_kinship, random_rows
from tests.tries import tries

NOBODY = np.empty(0, np.int64)
KINDS = {
    "certain": {},
    "with selfing": {"selfing": True},
    "with uncertain sires": {"uncertain": 0.5},
    "closed": {"unknown": 0.0, "animals": 24},
    "larger": {"animals": 50, "unknown": 0.1, "uncertain": 0.1},
}


@pytest.fixture
def every_single_is_left_out(monkeypatch):
    """Also in pedigrees so small that it does not pay."""
    monkeypatch.setattr(front, "FEW", 0)


def levels_of(rows):
    return Pedigree.from_rows(rows)._layout.levels()


@pytest.mark.usefixtures("every_single_is_left_out")
@pytest.mark.parametrize("back", [0, 3])
@pytest.mark.parametrize("kind", KINDS)
def test_tiles_agree_with_exact_fractions(kind, back, monkeypatch):
    monkeypatch.setattr(schedule, "BACK", back)
    for seed in range(25):
        layout = Pedigree.from_rows(random_rows(seed, **KINDS[kind]))._layout
        levels, between = layout.levels(), exact_kinship(layout)
        keep = np.arange(0, layout.size, 3)
        found = by_tiles(levels, keep, Schedule(levels, keep, group=3))
        for place, node in enumerate(levels.node.tolist()):
            parents = int(layout.first[node]), int(layout.second[node])
            assert found.between[place] == pytest.approx(float(between(*parents)), abs=1e-12)
            assert found.own[place] == pytest.approx(float(between(node, node)), abs=1e-12)
        nodes = levels.node[keep].tolist()
        wanted = [[float(between(a, b)) for b in nodes] for a in nodes]
        np.testing.assert_allclose(found.kept, wanted, rtol=0, atol=1e-12)


@pytest.mark.parametrize("kind", KINDS)
def test_where_f_is_known_it_is_not_asked_for_and_the_kinship_is_the_same(kind):
    for seed in range(15):
        layout = Pedigree.from_rows(random_rows(seed, **KINDS[kind]))._layout
        nodes, known = layout.node_of_row[::3], engines.of_all(layout)
        wanted = engines.among(layout, nodes, known, "columns")
        found = engines.among(layout, nodes, known, "tiles")
        np.testing.assert_allclose(found, wanted, rtol=0, atol=1e-12)
    levels = layout.levels()
    assert (Schedule(levels, NOBODY, asks=False).asked < 0).all()


@settings(max_examples=tries(60), deadline=None)
@given(
    seed=st.integers(0, 2**31),
    animals=st.integers(1, 120),
    unknown=st.sampled_from([0.0, 0.05, 0.3]),
    group=st.integers(1, 9),
)
def test_tiles_agree_with_the_columns_on_any_pedigree(seed, animals, unknown, group):
    layout = Pedigree.from_rows(random_rows(seed, animals=animals, unknown=unknown))._layout
    levels = layout.levels()
    found = by_tiles(levels, NOBODY, Schedule(levels, NOBODY, group))
    wanted = engines.of_all(layout, "columns").between[levels.node]
    np.testing.assert_allclose(found.between, wanted, rtol=0, atol=1e-12)


@pytest.mark.parametrize("shape", SHAPES, ids=[shape.name for shape in SHAPES])
def test_tiles_hold_the_numbers_of_the_table_with_one_thread_or_with_three(shape, monkeypatch):
    monkeypatch.setattr(front, "FEW", 0)
    monkeypatch.setattr(schedule, "WINDOW", 20)
    rows = generated_rows(4_000, litter=shape.litter, sires=shape.sires, generations=24, seed=4)
    levels = levels_of(rows)
    wanted = tabular(levels, NOBODY).between
    plan = Schedule(levels, NOBODY, group=8)
    assert plan.count > 16
    for threads in (1, 3):
        assert np.array_equal(by_tiles(levels, NOBODY, plan, threads).between, wanted)


@pytest.mark.usefixtures("every_single_is_left_out")
def test_up_to_25_generations_tiles_hold_the_fractions_themselves():
    layout = Pedigree.from_rows(closed_line(25, 4, 8, seed=2))._layout
    between = exact_kinship(layout)
    found = engines.of_all(layout, "tiles").between.tolist()
    pairs = zip(layout.first.tolist(), layout.second.tolist(), strict=True)
    assert [Fraction(f) for f in found] == [between(one, other) for one, other in pairs]


# Two founders, their two young, and young of these; nobody else.
FULL_SIBS = [
    ("Altair", None, None),
    ("Vega", None, None),
    ("Deneb", "Altair", "Vega"),
    ("Mira", "Altair", "Vega"),
    ("Naos", "Deneb", "Mira"),
]


def test_who_is_needed_for_an_early_question_alone_does_not_enter():
    # Deneb and Mira have no young that breed. Altair and Vega answer for them, before anybody
    # enters: they are founders, so F of Naos is (1/2 + 1/2) / 4, and nobody has to be there.
    levels = levels_of(FULL_SIBS)
    plan = Schedule(levels, NOBODY)
    assert sum(len(window.nodes) for window in plan.windows) == 0
    assert by_tiles(levels, NOBODY, plan).between.tolist() == [0, 0, 0, 0, 1 / 4]


@pytest.mark.usefixtures("every_single_is_left_out")
def test_parents_who_never_enter_have_a_row_while_their_young_enters(monkeypatch):
    monkeypatch.setattr(tiles, "TOGETHER", 1)  # both of them in one call all the same
    # Mira and Deneb have one young that is needed, Naos: both are there for it alone. Rigel is a
    # full sib of Mira, so kinship of Naos and Rigel is half of 1/4.
    rows = [(founder, None, None) for founder in ("Altair", "Vega", "Deneb")]
    rows += [("Mira", "Altair", "Vega"), ("Rigel", "Altair", "Vega"), ("Naos", "Deneb", "Mira")]
    layout = Pedigree.from_rows(rows)._layout
    levels = layout.levels()
    keep = levels.place[layout.node_of_row[-2:]]
    plan = Schedule(levels, keep, group=1)
    assert plan.passing == 2
    assert by_tiles(levels, keep, plan).kept.tolist() == [[1 / 2, 1 / 8], [1 / 8, 1 / 2]]


def test_a_row_leaves_with_its_last_young_though_its_mate_comes_later():
    # A line of sires, each by the next dam; the old sire is mated once more, far down the line.
    # His row is needed by Young1 alone; the late question is handed on to the ancestors.
    rows = [("Old", None, None), ("V0", None, None), ("Young1", "Old", "V0")]
    rows += [(f"V{n}", None, None) for n in range(1, 9)]
    rows += [(f"Young{n + 1}", f"Young{n}", f"V{n}") for n in range(1, 4)]
    rows += [("Late", "Old", "Young4"), ("Son", "Late", "V8"), ("End", "Son", "V7")]
    levels = levels_of(rows)
    label = Pedigree.from_rows(rows)._layout.label
    f = dict(zip(label, by_tiles(levels, NOBODY).between.tolist(), strict=True))
    assert f["Late"] == 1 / 32  # Old is four generations above Young4: (1/2)^5
    assert sum(f.values()) == 1 / 32


def test_places_are_used_again():
    levels = levels_of(closed_line(60, 4, 8, seed=3))
    plan = Schedule(levels, NOBODY, group=4)
    entered = sum(len(window.nodes) for window in plan.windows)
    assert plan.groups * plan.group < entered / 5


def test_a_table_for_which_there_is_no_memory_is_not_made(monkeypatch):
    monkeypatch.setattr(engines, "LARGEST_SQUARE", 5)
    layout = Pedigree.from_rows(closed_line(12, 4, 8, seed=3))._layout
    wanted = engines.of_all(layout, "tabular").between
    tried = []

    def refused(*_, **__):
        tried.append(True)
        raise AssertionError("a table was made")

    monkeypatch.setattr(engines, "megabytes_for_a_table", lambda: 0.0)
    monkeypatch.setattr(engines, "by_tiles", refused)
    monkeypatch.setattr(engines, "tabular", refused)
    found = engines.of_all(layout).between
    np.testing.assert_allclose(found, wanted, rtol=0, atol=1e-12)
    monkeypatch.setattr(engines, "megabytes_for_a_table", lambda: 1e6)
    with pytest.raises(AssertionError, match="a table was made"):
        engines.of_all(layout)
    assert tried


def test_a_table_may_take_half_of_what_is_free_or_a_quarter_of_what_there_is(monkeypatch):
    pages = {"SC_PAGE_SIZE": 4_000, "SC_AVPHYS_PAGES": 100_000, "SC_PHYS_PAGES": 500_000}
    monkeypatch.setattr(memory.os, "sysconf", pages.__getitem__)
    assert memory.megabytes_for_a_table() == 500
    pages["SC_AVPHYS_PAGES"] = 400_000
    assert memory.megabytes_for_a_table() == 800


def test_where_the_system_says_nothing_a_table_may_take_what_was_allowed_before(monkeypatch):
    monkeypatch.delattr(memory.os, "sysconf")
    assert memory.megabytes_for_a_table() == memory.IF_NOBODY_SAYS


def test_the_growth_of_the_work_is_bounded():
    # Twice the animals in the same generations are twice the rows of twice the length: at most
    # the square, here with the rounding up to whole groups.
    sizes = (6_000, 12_000, 24_000)
    for shape in SHAPES:
        cells = []
        for size in sizes:
            rows = generated_rows(
                size, litter=shape.litter, sires=shape.sires, generations=12, seed=1
            )
            cells.append(Schedule(levels_of(rows), NOBODY, group=8).cells)
        assert np.polyfit(np.log(sizes), np.log(cells), 1)[0] < 2.05
