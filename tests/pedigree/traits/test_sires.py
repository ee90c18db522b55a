"""Which of several sires it was, as far as a trait tells."""

from fractions import Fraction

import pytest

from pedigree import Contradiction, Pedigree, sire_chances
from tests.pedigree.families import random_rows
from tests.pedigree.traits import brute
from tests.pedigree.traits.test_chances import seen_at_random

NO, SHOWS = (1, 1, 0), (0, 0, 1)
HALF = Fraction(1, 2)
FOUNDERS = [("S", None, None), ("T", None, None), ("D", None, None)]


def sires(rows, seen, animal, frequency=0.3):
    return sire_chances(Pedigree.from_rows(rows), seen, animal, frequency=frequency)


def test_what_littermates_show_tells_of_their_one_sire():
    # S has one copy, T none; each of three young that do not show it halves the odds of S.
    choice = {"S": HALF, "T": HALF}
    rows = [*FOUNDERS, *((n, choice, "D", "L") for n in range(3)), ("X", choice, "D")]
    seen = {"S": (0, 1, 0), "T": (1, 0, 0), "D": SHOWS, **dict.fromkeys(range(3), NO)}
    assert sires(rows, seen, 0) == pytest.approx({"S": 1 / 9, "T": 8 / 9})
    assert sires(rows, seen, "X") == pytest.approx({"S": 1 / 2, "T": 1 / 2})


def test_a_sire_who_is_not_named_may_be_the_only_one_that_can():
    rows = [*FOUNDERS, ("P", {"S": HALF, "T": Fraction(1, 4)}, "D")]
    seen = {"S": (1, 0, 0), "T": (1, 0, 0), "D": SHOWS, "P": SHOWS}
    assert sires(rows, seen, "P") == {"S": 0, "T": 0, None: 1}


def test_a_certain_sire_is_certain_and_an_unknown_one_is_nobody():
    assert sires([*FOUNDERS, ("P", "S", "D")], {}, "P") == {"S": 1}
    assert sires(FOUNDERS, {}, "S") == {}


def test_where_no_sire_can_be_the_animals_are_named():
    rows = [*FOUNDERS, ("P", {"S": HALF, "T": HALF}, "D")]
    with pytest.raises(Contradiction) as told:
        sires(rows, {"S": (1, 0, 0), "T": (1, 0, 0), "P": SHOWS}, "P")
    assert told.value.animals == ("S", "T", "P")


@pytest.mark.parametrize("seed", range(15))
def test_every_genotype_under_every_sire(seed):
    rows = random_rows(seed, animals=6, uncertain=0.5, unknown=0.1)
    seen = seen_at_random(rows, seed, 0.6)
    for animals, shares in brute.shared_choices(rows):
        weights = {}
        for chance, certain in brute.certain_ways(rows):
            sire = next(row[1] for row in certain if row[0] == animals[0])
            _, table = brute.joint(certain, seen, 0.3)
            named = sire if sire in shares else None
            weights[named] = weights.get(named, 0) + chance * table.sum()
        wanted = {sire: weight / sum(weights.values()) for sire, weight in weights.items()}
        assert sires(rows, seen, animals[-1]) == pytest.approx(wanted, abs=1e-12)
