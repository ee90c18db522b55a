"""Founders held to be siblings: kinship as a belief, exact, and nothing else changes."""

from fractions import Fraction
from itertools import combinations, product

import numpy as np
import pytest

from pedigree import (
    LineageError,
    Pedigree,
    composition,
    contradicting_kin,
    explain,
    founder_equivalents,
    founder_shares,
    implied_kin,
    inbred,
    kin_can_be,
    mean_kinship,
)

FULL, HALF = Fraction(1, 4), Fraction(1, 8)
FOUNDERS = [(one, None, None) for one in "ABCDE"]


def group(members, kinship):
    return [(one, other, kinship) for one, other in combinations(members, 2)]


@pytest.mark.parametrize(
    ("kinship", "inbreeding"),
    [
        (FULL, Fraction(1, 4)),
        (HALF, Fraction(1, 8)),
        (FULL * 3 / 4, Fraction(3, 16)),
        (HALF / 2, Fraction(1, 16)),
        (FULL / 10, Fraction(1, 40)),
    ],
)
def test_young_of_two_founders_have_certainty_times_degree(kinship, inbreeding):
    ped = Pedigree.from_rows([*FOUNDERS, ("X", "A", "B")], [("A", "B", kinship)])
    assert explain(ped, "A", "B").inbreeding == inbreeding
    assert ped.inbreeding()[5] == pytest.approx(float(inbreeding), abs=1e-15)
    assert inbred(ped, "X").expected == inbreeding
    assert ped.kinship("A", "A") == 0.5


@pytest.mark.parametrize("kinship", [FULL, FULL * 3 / 4, HALF, HALF * 3 / 4, FULL / 100])
@pytest.mark.parametrize("members", ["ABC", "ABCDE"])
def test_all_pairs_of_a_group_are_equally_kin(kinship, members):
    ped = Pedigree.from_rows(FOUNDERS, group(members, kinship))
    table = ped.kinship_matrix(list(members))
    expected = np.full((len(members),) * 2, float(kinship))
    np.fill_diagonal(expected, 0.5)
    assert np.allclose(table, expected, atol=1e-15)
    assert np.linalg.eigvalsh(table)[0] > -1e-12


def test_two_litters_of_half_siblings():
    pairs = [*group("AB", FULL), *group("CD", FULL)]
    pairs += [(one, other, HALF / 2) for one, other in product("AB", "CD")]
    ped = Pedigree.from_rows(FOUNDERS, pairs)
    for one, other, kinship in pairs:
        assert ped.kinship(one, other) == pytest.approx(float(kinship), abs=1e-15)


def test_as_if_the_parents_were_on_record():
    """Full siblings for certain: every figure of young as with sire and dam written out."""
    young = [("X", "A", "B"), ("Y", "C", "D"), ("Z", "X", "Y"), ("W", "Z", "A")]
    assumed = Pedigree.from_rows([*FOUNDERS, *young], group("ABC", FULL))
    rows = [("S", None, None), ("M", None, None), *((one, "S", "M") for one in "ABC")]
    written = Pedigree.from_rows([*rows, *FOUNDERS[3:], *young])
    keys = [*"ABCDEXYZW"]
    assert np.array_equal(assumed.kinship_matrix(keys), written.kinship_matrix(keys))
    for sire, dam in combinations(keys, 2):
        one, other = explain(assumed, sire, dam), explain(written, sire, dam)
        assert one.inbreeding == other.inbreeding
        assert one.path_count == other.path_count


def test_a_belief_is_the_mean_over_what_may_be():
    """75 % full siblings: three quarters of the figure with parents, a quarter without."""
    young = [("X", "A", "C"), ("Y", "B", "D"), ("Z", "X", "Y"), ("W", "Z", "X")]
    keys = [*"ABCDXYZW"]
    held = Pedigree.from_rows([*FOUNDERS, *young], [("A", "B", FULL * 3 / 4)])
    surely = Pedigree.from_rows([*FOUNDERS, *young], [("A", "B", FULL)])
    not_at_all = Pedigree.from_rows([*FOUNDERS, *young])
    mean = 0.75 * surely.kinship_matrix(keys) + 0.25 * not_at_all.kinship_matrix(keys)
    assert np.allclose(held.kinship_matrix(keys), mean, atol=1e-15)
    living = mean_kinship(held, keys)
    assert np.allclose(living, mean.mean(axis=1), atol=1e-15)


def test_published_matings_of_half_and_full_siblings_go_on_from_it():
    """Continued full-sib mating, Wright 1921: 1/4, 3/8, 1/2, 19/32; the first pair is assumed."""
    rows, pair = [("A", None, None), ("B", None, None)], ("A", "B")
    for at in range(4):
        rows += [(f"m{at}", *pair), (f"f{at}", *pair)]
        pair = (f"m{at}", f"f{at}")
    found = Pedigree.from_rows(rows, [("A", "B", FULL)]).inbreeding()
    assert found[2::2].tolist() == [1 / 4, 3 / 8, 1 / 2, 19 / 32]


def test_founders_stay_founders_and_nothing_is_known_of_their_parents():
    rows = [*FOUNDERS, ("X", "A", "B")]
    assumed, plain = Pedigree.from_rows(rows, group("ABC", FULL)), Pedigree.from_rows(rows)
    assert assumed.is_founder("A")
    assert assumed.ancestors("X") == {"A", "B"}
    assert assumed.descendants("A") == {"X"}
    assert founder_shares(assumed, ["X"]) == founder_shares(plain, ["X"]) == {"A": 0.5, "B": 0.5}
    assert founder_equivalents(assumed, ["X"]) == 2
    base = {"A": {"motoro": 1}, "B": {"motoro": 1}}
    assert composition(assumed, base) == composition(plain, base)
    assert assumed.ids == plain.ids


def test_more_young_are_as_if_all_had_been_read_at_once():
    ped = Pedigree.from_rows(FOUNDERS, [("A", "B", HALF)])
    ped.inbreeding()
    more = [("X", "A", "C"), ("Y", "B", "C"), ("Z", "X", "Y")]
    grown, whole = ped.with_rows(more), Pedigree.from_rows([*FOUNDERS, *more], ped.assumed)
    assert grown.inbreeding().tolist() == whole.inbreeding().tolist()
    young = ped.with_rows([("X", "A", "B", "litter"), ("Y", None, None)])
    assert young.inbreeding()[5] == 1 / 8


def test_siblings_of_one_are_siblings_of_each_other():
    found = implied_kin([("A", "B", FULL), ("B", "C", FULL), ("C", "D", HALF)])
    assert found[frozenset("AC")] == FULL
    assert found[frozenset("AD")] == HALF
    given = implied_kin([("A", "B", FULL / 2), ("B", "C", FULL / 2), ("A", "C", Fraction(0))])
    assert frozenset("AC") not in given


def test_what_cannot_all_be_is_found():
    assert contradicting_kin([("A", "B", FULL), ("B", "C", FULL), ("A", "C", HALF)])
    assert contradicting_kin(group("ABC", FULL * 3 / 4)) is None
    apart = [("A", "B", FULL * 3 / 4), ("B", "C", FULL * 3 / 4), ("A", "C", Fraction(0))]
    assert set(contradicting_kin(apart)) == {"A", "B", "C"}
    assert kin_can_be(group("ABCDE", HALF))
    assert not kin_can_be(apart)


def test_the_engine_is_exact_whatever_the_order():
    """B may be a sibling of A or of C, who are none: no order of weights below 0 is needed."""
    pairs = [("A", "B", FULL / 2), ("B", "C", FULL / 2), ("C", "D", FULL / 2), ("A", "D", FULL / 2)]
    ped = Pedigree.from_rows(FOUNDERS, pairs)
    given = {frozenset(pair): kinship for *pair, kinship in pairs}
    for one, other in combinations("ABCD", 2):
        expected = float(given.get(frozenset((one, other)), 0))
        assert ped.kinship(one, other) == pytest.approx(expected, abs=1e-14)


@pytest.mark.parametrize(
    ("rows", "assumed", "says"),
    [
        (FOUNDERS, [("A", "B", Fraction(1, 2))], "from 0 to 1/4, not 1/2"),
        ([*FOUNDERS, ("X", "A", None)], [("X", "B", FULL)], "X has a known parent"),
        (FOUNDERS, [("A", "Q", FULL)], "Q is not a row"),
    ],
)
def test_what_cannot_be_assumed_is_refused(rows, assumed, says):
    with pytest.raises(LineageError, match=says):
        Pedigree.from_rows(rows, assumed)
