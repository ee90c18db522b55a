"""Litters of many pairs at once, against each pair by itself."""

import itertools

import numpy as np
import pytest

from pedigree import (
    Contradiction,
    LineageError,
    Pedigree,
    SexLinked,
    litter_chances,
    pair_chances,
)
from tests.pedigree.families import random_rows
from tests.pedigree.traits.test_chances import seen_at_random

DOMINANT = (0, 1, 1)


@pytest.mark.parametrize("seed", range(12))
def test_every_pair_is_as_the_pair_by_itself(seed):
    rows = random_rows(seed, animals=10, uncertain=0.2)
    ped = Pedigree.from_rows(rows)
    seen = seen_at_random(rows, seed, part=0.4)
    everybody = [row[0] for row in rows]
    sires, dams = everybody[::2], everybody[1::2]
    showing = DOMINANT if seed % 2 else (0, 0, 1)
    asked = {"frequency": 0.3, "showing": showing}
    for young, look in itertools.product((1, 4), ("shows", "has")):
        try:
            found = litter_chances(ped, seen, sires, dams, young=young, look=look, **asked)
        except Contradiction:
            with pytest.raises(Contradiction):
                pair_chances(ped, seen, sires[0], dams[0], **asked)
            return
        for (row, sire), (column, dam) in itertools.product(enumerate(sires), enumerate(dams)):
            one = pair_chances(ped, seen, sire, dam, **asked)
            expected = one.at_least_one(young, look)
            assert found[row, column] == pytest.approx(expected, abs=1e-12)


def test_of_a_sex_linked_gene():
    """By hand: of a carrier's young one in four, a son of two, shows it; of two young 7 in 16."""
    ped = Pedigree.from_rows([("S", None, None), ("D", None, None)])
    linked = SexLinked.of(["D"], ["S"])
    seen = {"S": (1, 0, 0), "D": (0, 1, 0)}
    for young, expected in ((1, 1 / 4), (2, 7 / 16)):
        found = litter_chances(
            ped, seen, ["S"], ["D"], young=young, frequency=0.3, sex_linked=linked
        )
        np.testing.assert_allclose(found, [[expected]], atol=1e-12)


def test_nobody_and_nothing():
    ped = Pedigree.from_rows([("S", None, None), ("D", None, None)])
    assert litter_chances(ped, {}, [], ["D"], young=3, frequency=0.3).shape == (0, 1)
    found = litter_chances(ped, {}, ["S"], ["D"], young=1, frequency=0.3)
    np.testing.assert_allclose(found, [[0.09]], atol=1e-12)
    with pytest.raises(LineageError):
        litter_chances(ped, {}, ["S"], ["D"], young=-1, frequency=0.3)
