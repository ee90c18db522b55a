"""A line kept pure, and one outcross: a brother and a sister by hand."""

import numpy as np
import pytest

from pedigree import LineageError
from pedigree.ahead.kept_line import keep_line

SIBLINGS = np.array([[0.5, 0.25], [0.25, 0.5]])
FEMALE, LINE = np.array([True, False]), np.array([True, True])


def kept(kinship=SIBLINGS, is_female=FEMALE, in_line=LINE, *, has_outcross, **more):
    rng = np.random.default_rng(7)
    return keep_line(kinship, is_female, in_line, rng, has_outcross=has_outcross, **more)


def test_brother_to_sister_is_the_series_of_wright():
    """1/4 3/8 1/2 19/32: Wright 1921. With one pair nothing is left to chance."""
    found = kept(has_outcross=False, generations=4, litter=2, replicates=5)
    assert found.inbreeding == (1 / 4, 3 / 8, 1 / 2, 19 / 32)
    assert found.inbreeding_error == (0, 0, 0, 0)
    assert found.shows == (1, 1, 1, 1)
    assert found.again == 1


def test_one_outcross_gives_it_back_and_costs_a_generation_without_the_trait():
    """Daughters of an animal kin to nobody: F 0. They go to their mother's brother: F 1/8, and
    half of the young show it. Two of these: (1/2 + 1/2 + 2/8) / 4 = 5/16."""
    found = kept(has_outcross=True, generations=3, litter=40, replicates=60)
    assert found.inbreeding == (0, 1 / 8, 5 / 16)
    assert found.shows[0] == 0
    assert found.shows[1] == pytest.approx(0.5, abs=0.05)
    assert found.shows[2] == 1
    assert (found.again, found.again_error) == (2, 0)


def test_the_outcross_is_the_male_that_is_least_kin_to_the_line():
    kinship = np.zeros((4, 4))
    kinship[:2, :2] = SIBLINGS
    np.fill_diagonal(kinship, 0.5)
    kinship[2, :2] = kinship[:2, 2] = 0.25  # another brother, who does not show it
    found = kept(
        kinship,
        np.array([True, False, False, False]),
        np.array([True, True, False, False]),
        has_outcross=True,
        generations=1,
        replicates=1,
    )
    assert found.inbreeding == (0,)


def test_the_same_seed_is_the_same_course():
    kinship = np.eye(6) / 2
    sexes, line = np.array([True, False] * 3), np.ones(6, np.bool_)
    one, other = (kept(kinship, sexes, line, has_outcross=True, replicates=10) for _ in range(2))
    assert one == other
    assert one.inbreeding_error[-1] > 0


def test_a_line_without_a_male_is_refused():
    with pytest.raises(LineageError, match="a female and a male"):
        kept(in_line=np.array([True, False]), has_outcross=False)
