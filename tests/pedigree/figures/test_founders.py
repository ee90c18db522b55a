"""What is left of founders: every way the genes could have gone, counted; and worked ties."""

import itertools
import math
from fractions import Fraction

import numpy as np
import pytest

import pedigree.figures.retention as by_states
from pedigree import (
    LineageError,
    Pedigree,
    ancestor_contributions,
    founder_equivalents,
    founder_genomes,
    founder_shares,
    founders_left,
    retention,
)
from pedigree.figures.retention import retained_by_dropping

HALF = Fraction(1, 2)


def every_way(rows, living):
    """Part of each named founder's genes still there: all ways genes can go, each with its chance.

    Rows stand parents before young; a sire may be a mapping of chances, the rest being unnamed.
    """
    names = [name for name, sire, dam in rows if sire is None and dam is None]
    left = dict.fromkeys(names, Fraction(0))
    sires = [[(name, HALF * 2)] if not isinstance(name, dict) else _of(name) for _, name, _ in rows]
    for chosen in itertools.product(*sires):
        chance = math.prod((share for _, share in chosen), start=Fraction(1))
        pairs = [(sire, dam) for (sire, _), (_, _, dam) in zip(chosen, rows, strict=True)]
        drawn = [n for n, pair in enumerate(pairs) for parent in pair if parent is not None]
        for coins in itertools.product((0, 1), repeat=len(drawn)):
            carried, coin = {}, iter(coins)
            for (name, *_), (sire, dam) in zip(rows, pairs, strict=True):
                if sire is None and dam is None and name in left:
                    carried[name] = [(name, 0), (name, 1)]
                    continue
                carried[name] = [
                    (object(), 0) if parent is None else carried[parent][next(coin)]
                    for parent in (sire, dam)
                ]
            there = {gene for one in living for gene in carried[one]}
            for name in left:
                found = sum((name, slot) in there for slot in (0, 1))
                left[name] += chance * Fraction(found, 2) / 2 ** len(drawn)
    return left


def _of(shares):
    rest = 1 - sum(shares.values())
    return [*shares.items(), *([(None, rest)] if rest else [])]


FULL_SIBS = [
    ("A", None, None),
    ("B", None, None),
    ("S", "A", "B"),
    ("D", "A", "B"),
    ("X", "S", "D"),
]
EITHER = {"A": Fraction(1, 3), "B": Fraction(2, 3)}
SOMEBODY = {"A": Fraction(1, 4), "B": Fraction(1, 2)}
FAMILIES = {
    "one that carries a gene twice hands it on for certain": (
        [*FULL_SIBS, ("E", None, None), ("Y", "X", "E"), ("Z", {"X": Fraction(1, 3)}, "E")],
        [["Y"], ["Y", "Z"]],
    ),
    "full sibs and their young": (FULL_SIBS, [["X"], ["S", "X"], ["D", "S"], ["A", "X"]]),
    "a parent unknown": (
        [("A", None, None), ("B", None, None), ("S", "A", None), ("D", "B", "S"), ("X", "A", "D")],
        [["X"], ["S", "D"], ["D", "X"]],
    ),
    "a sire that is one of two": (
        [("A", None, None), ("B", None, None), ("D", None, None), ("X", EITHER, "D")],
        [["X"], ["A", "X"]],
    ),
    "a sire that is perhaps unnamed": (
        [("A", None, None), ("B", None, None), ("D", None, None), ("X", SOMEBODY, "D"),
         ("Y", "X", "D")],
        [["X"], ["Y"], ["X", "Y"]],
    ),
    "one of two brothers": (
        [("A", None, None), ("D", None, None), ("S", "A", None), ("T", "A", None),
         ("X", {"S": Fraction(1, 4), "T": Fraction(3, 4)}, "D")],
        [["X"], ["S", "X"]],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FAMILIES)
def test_exact_retention_is_what_all_ways_of_the_genes_make(name):
    rows, groups = FAMILIES[name]
    ped = Pedigree.from_rows(rows)
    for living in groups:
        wanted = {one: part for one, part in every_way(rows, living).items() if part}
        found = {one: part for one, part in retention(ped, living).items() if part}
        assert found == wanted, living
        assert all(isinstance(part, Fraction) for part in found.values())


@pytest.mark.parametrize("name", FAMILIES)
def test_dropped_genes_are_as_many_as_all_ways_of_the_genes_make(name):
    rows, groups = FAMILIES[name]
    ped = Pedigree.from_rows(rows)
    drops = 20_000
    for seed, living in enumerate(groups):
        levels = ped._layout.levels().completed()
        places = levels.place[ped._layout.node_of_row[[ped.row(one) for one in living]]]
        found = retained_by_dropping(levels, places, np.random.default_rng(seed), drops)
        for one, part in every_way(rows, living).items():
            place = levels.place[ped._layout.node_of_row[ped.row(one)]]
            wanted = float(part)
            error = math.sqrt(wanted * (1 - wanted) / drops)
            assert abs(found[place] - wanted) <= 4 * error + 1e-12, (living, one)


@pytest.mark.parametrize("at_once", [1, 10, 11, 15, 10**9])
def test_genes_dropped_in_pieces_are_none_lost_and_none_doubled(monkeypatch, at_once):
    """A founder that lives itself keeps all its genes, however the drops are divided."""
    monkeypatch.setattr(by_states, "AT_ONCE", at_once)
    ped = Pedigree.from_rows(FULL_SIBS)  # five animals
    levels = ped._layout.levels().completed()
    living = levels.place[ped._layout.node_of_row[[ped.row("A"), ped.row("B")]]]
    for drops in (1, 3, 7):
        chance = Counting(drops)
        assert retained_by_dropping(levels, living, chance, drops).tolist() == [1, 1]
        # Each of three young draws twice in every piece of at most so many drops.
        most = max(1, at_once // 5)
        assert chance.pieces == [
            min(most, left) for left in range(drops, 0, -most) for _ in range(6)
        ]


class Counting:
    """Chance that remembers how many genes were drawn at once."""

    def __init__(self, seed):
        self.chance, self.pieces = np.random.default_rng(seed), []

    def integers(self, low, high, count):
        self.pieces.append(count)
        return self.chance.integers(low, high, count)


def test_a_family_with_too_many_states_is_estimated_and_others_stay_exact(monkeypatch):
    monkeypatch.setattr(by_states, "MOST_STATES", 2)
    rows = [*FULL_SIBS, ("C", None, None), ("Z", "C", None)]
    ped, living = Pedigree.from_rows(rows), ["X", "Z"]
    with pytest.raises(LineageError, match="too large for exact retention"):
        retention(ped, living)
    with pytest.raises(LineageError, match="too large for exact retention"):
        founders_left(ped, living)
    found = retention(ped, living, generator=np.random.default_rng(3), drops=40_000)
    assert found["C"] == HALF
    assert isinstance(found["C"], Fraction)
    assert isinstance(found["A"], float)
    wanted = float(every_way(rows, living)["A"])
    assert found["A"] == pytest.approx(wanted, abs=0.01)
    assert founders_left(ped, living, generator=np.random.default_rng(3), drops=40_000).parts[
        "A"
    ] == pytest.approx(wanted, abs=0.01)


def test_as_many_states_as_allowed_are_still_exact(monkeypatch):
    # Of a founder with one young that lives on as a parent: it has the gene, or it has not.
    rows = [("A", None, None), ("S", "A", None), ("T", "A", None), ("X", "S", "T")]
    ped = Pedigree.from_rows(rows)
    wanted = every_way(rows, ["X"])["A"]
    monkeypatch.setattr(by_states, "MOST_STATES", 3)  # in S, in T, in both
    assert retention(ped, ["X"]) == {"A": wanted}
    monkeypatch.setattr(by_states, "MOST_STATES", 2)
    with pytest.raises(LineageError, match="too large"):
        retention(ped, ["X"])


# ---- shares and ancestors ------------------------------------------------------------------------

# X is by P to 1/2, by Q to 1/4, else by somebody unnamed.
UNCERTAIN = Pedigree.from_rows(
    [
        ("P", None, None),
        ("Q", None, None),
        ("R", None, None),
        ("D", None, None),
        ("X", {"P": Fraction(1, 2), "Q": Fraction(1, 4)}, "D"),
    ]
)


def test_shares_of_an_uncertain_sire_are_split_and_the_rest_is_nobodys():
    found = founder_shares(UNCERTAIN, ["X"])
    assert found == {"P": 1 / 4, "Q": 1 / 8, "D": 1 / 2, None: 1 / 8}
    assert list(found)[-1] is None
    assert founder_equivalents(UNCERTAIN, ["X"]) == 1 / (1 / 16 + 2 / 64 + 1 / 4)


def test_what_comes_through_all_unknown_parents_stands_together():
    ped = Pedigree.from_rows([("A", None, None), ("S", "A", None), ("X", None, "S")])
    assert founder_shares(ped, ["X", "S"]) == {"A": 3 / 8, None: 5 / 8}
    # Each unknown parent is a founder of its own: S's has 3/8 of both, X's has 1/4.
    assert founder_equivalents(ped, ["X", "S"]) == 1 / (2 * (3 / 8) ** 2 + 1 / 16)


def test_the_unknown_sire_of_a_litter_is_no_founder_by_name():
    ped = Pedigree.from_rows([("D", None, None), ("x", None, "D", "L"), ("y", None, "D", "L")])
    assert founder_shares(ped, ["x", "y"]) == {"D": 1 / 2, None: 1 / 2}
    assert retention(ped, ["x", "y"]) == {"D": Fraction(3, 4)}
    left = founders_left(ped, ["x", "y"])
    assert left.parts == {"D": Fraction(3, 4)}
    assert left.genomes == 1 / (2 * (1 / 2) ** 2 / (3 / 4))
    assert founder_genomes(ped, ["x", "y"], "retention") == left.genomes


def test_genomes_left_count_every_unknown_parent():
    # By hand: A and the unknown parent each give X half, and half of either's genes are gone.
    ped = Pedigree.from_rows([("A", None, None), ("X", "A", None), ("B", None, None)])
    left = founders_left(ped, ["X"])
    assert (left.parts, left.genomes) == ({"A": HALF}, 1.0)


def test_genomes_by_kinship_of_two_that_are_unrelated_are_two():
    assert founder_genomes(UNCERTAIN, ["P", "Q"]) == 2
    with pytest.raises(LineageError, match="nobody"):
        founder_genomes(UNCERTAIN, [], "retention")
    with pytest.raises(LineageError, match="nobody"):
        retention(UNCERTAIN, [])


def test_of_equal_ancestors_the_older_is_taken_and_then_the_first_in_the_rows():
    # Y and Z are half of X, and are themselves half of the living: X is the older. Then each
    # has 1/4 left, and so has its dam.
    rows = [("E", None, None), ("D2", None, None), ("Y", "X", "D2"), ("Z", "X", "E")]
    found = ancestor_contributions(UNCERTAIN.with_rows(rows), ["Y", "Z"])
    assert found == (("X", 1 / 2), ("E", 1 / 4), ("D2", 1 / 4))
    turned = [rows[1], rows[0], *rows[2:]]
    found = ancestor_contributions(UNCERTAIN.with_rows(turned), ["Y", "Z"])
    assert found == (("X", 1 / 2), ("D2", 1 / 4), ("E", 1 / 4))


def test_what_a_taken_ancestor_explains_counts_for_its_young_no_more():
    # By hand: A gives 1/2 to three half sibs, each of which gives its own dam's 1/2 besides.
    rows = [("A", None, None)] + [(f"d{n}", None, None) for n in range(3)]
    rows += [(f"h{n}", "A", f"d{n}") for n in range(3)]
    found = ancestor_contributions(Pedigree.from_rows(rows), ["h0", "h1", "h2"])
    assert found[0] == ("A", 1 / 2)
    assert [name for name, _ in found[1:]] == ["d0", "d1", "d2"]
    assert [part for _, part in found[1:]] == pytest.approx([1 / 6] * 3)


def test_a_possible_sire_is_an_ancestor_and_the_either_or_is_none():
    found = dict(ancestor_contributions(UNCERTAIN, ["X"]))
    assert found == {"X": 1.0}
    # P lives and is half of the living; Y is half of X, and X a quarter of P: 1/16 more. What is
    # left of Y is 7/8 of its half.
    both = UNCERTAIN.with_rows([("D2", None, None), ("Y", "X", "D2")])
    assert ancestor_contributions(both, ["Y", "P"]) == (("P", 9 / 16), ("Y", 7 / 16))
