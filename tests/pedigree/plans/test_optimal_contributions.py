"""Optimal contributions against scipy's SLSQP and the conditions of an optimum; pairs by gain."""

import numpy as np
import pytest
from scipy.optimize import minimize

from pedigree import LineageError, LivingKinship, Pedigree, gene_diversity
from pedigree.plans.optimal_contributions import (
    diversity_gained,
    optimal_contributions,
    slider_cost,
)
from tests.pedigree import published
from tests.pedigree.families import random_rows


def family(seed, animals=40, living=14):
    ped = Pedigree.from_rows(random_rows(seed, animals=animals))
    names = [f"a{n}" for n in range(animals - living, animals)]
    rng = np.random.default_rng(seed)
    male = rng.permutation(np.arange(living) % 2 == 0)
    low = rng.choice([0, 0, 0.02], living)
    high = rng.choice([0.5, 0.2, 0.12], living)
    return ped.kinship_matrix(names), male, low, high


def by_slsqp(kinship, male, low, high):
    found = minimize(
        lambda c: c @ kinship @ c,
        np.clip(np.full(len(male), 1 / len(male)), low, high),
        jac=lambda c: 2 * kinship @ c,
        bounds=list(zip(low, high, strict=True)),
        constraints=[
            {"type": "eq", "fun": lambda c, sex=sex: c[sex].sum() - 0.5} for sex in (male, ~male)
        ],
        method="SLSQP",
        options={"ftol": 1e-14, "maxiter": 1000},
    )
    assert found.success
    return found.fun


@pytest.mark.parametrize("seed", range(25))
def test_mean_kinship_is_as_low_as_scipy_finds(seed):
    kinship, male, low, high = family(seed)
    found = optimal_contributions(kinship, male, least=low, most=high)
    assert found.mean_kinship == pytest.approx(by_slsqp(kinship, male, low, high), abs=1e-7)
    assert found.mean_kinship <= by_slsqp(kinship, male, low, high) + 1e-12


@pytest.mark.parametrize("seed", range(25))
def test_the_conditions_of_an_optimum_hold(seed):
    """Karush, Kuhn and Tucker: within a sex nobody who could give more pulls less than one who
    could give less."""
    kinship, male, low, high = family(seed)
    found = optimal_contributions(kinship, male, least=low, most=high)
    slope = 2 * kinship @ found.shares
    for sex in (male, ~male):
        assert found.shares[sex].sum() == pytest.approx(0.5, abs=1e-12)
        could_rise = sex & (found.shares < high)
        could_fall = sex & (found.shares > low)
        if could_rise.any() and could_fall.any():
            assert slope[could_fall].max() <= slope[could_rise].min() + 1e-9
    assert (found.shares >= low).all()
    assert (found.shares <= high).all()
    assert found.above_least <= 1e-12


@pytest.mark.parametrize("seed", range(10))
def test_a_singular_table_is_solved_as_well(seed):
    """Every animal twice, as clones are: K has half its rank, the optimum is the same."""
    kinship, male, _, _ = family(seed)
    twice = np.tile(kinship, (2, 2))
    assert np.linalg.matrix_rank(twice) < len(twice)
    once = optimal_contributions(kinship, male)
    doubled = optimal_contributions(twice, np.tile(male, 2))
    assert doubled.mean_kinship == pytest.approx(once.mean_kinship, abs=1e-11)
    assert doubled.above_least <= 1e-12
    flat = optimal_contributions(np.full((4, 4), 0.25), [True, True, False, False])
    assert flat.mean_kinship == pytest.approx(0.25, abs=1e-15)


def test_two_unrelated_brothers_and_a_stranger_by_hand():
    # Full brothers (kinship 1/4) and an unrelated male, one female kin to nobody. By hand:
    # minimise 3/2 x^2 + 1/2 y^2 with 2x + y = 1/2: 3x = 2y, so x = 1/7, y = 3/14.
    kinship = np.eye(4) / 2
    kinship[0, 1] = kinship[1, 0] = 0.25
    found = optimal_contributions(kinship, [True, True, True, False])
    np.testing.assert_allclose(found.shares, [1 / 7, 1 / 7, 3 / 14, 0.5], rtol=0, atol=1e-12)
    assert found.mean_kinship == pytest.approx(1.5 / 49 + 4.5 / 196 + 1 / 8, abs=1e-14)
    assert found.young(10).tolist() == [3, 3, 4, 10]


def test_the_worked_population_does_better_by_optimal_contributions_than_by_equal_ones():
    values = published.values("own_small_population")
    ped = published.pedigree("own_small_population")
    kinship = ped.kinship_matrix(values["reference"])
    found = optimal_contributions(kinship, [True, True, False, False])
    assert found.mean_kinship < 17 / 64
    assert found.gene_diversity == 1 - found.mean_kinship


@pytest.mark.parametrize("total", [0, 1, 7, 50])
def test_young_are_whole_and_as_many_by_each_sex(total):
    kinship, male, low, high = family(3)
    found = optimal_contributions(kinship, male, least=low, most=high)
    young = found.young(total)
    assert (young[male].sum(), young[~male].sum()) == (total, total)
    assert (np.abs(young - 2 * total * found.shares) < 1).all()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"most": 0.1}, "most shares of the males sum to 0.2, below 0.5"),
        ({"least": 0.3}, "least shares of the males sum to 0.6, above 0.5"),
        ({"least": [0.2, 0, 0, 0], "most": 0.1}, "Animal 0 has the least share 0.2 above the most"),
        ({"most": 0.7}, "most is from 0 to 0.5, not 0.7"),
        ({"least": float("nan")}, "least is from 0 to 0.5, not nan"),
        ({"least": [0.1]}, r"one for each of 4, not \(1,\)"),
        ({"is_male": [True] * 4}, "no females"),
        ({"is_male": [True, False]}, "each of 4 animals"),
        ({"kinship": np.full((4, 4), np.nan)}, r"from 0 to 1, not nan \(row 0, column 0\)"),
        ({"kinship": np.zeros((4, 3))}, r"not \(4, 3\)"),
        ({"kinship": np.triu(np.full((4, 4), 0.5))}, "the same both ways, not 0.5 and 0"),
    ],
)
def test_what_cannot_be_is_named(change, words):
    given = {"kinship": np.eye(4) / 2, "is_male": [True, True, False, False], **change}
    with pytest.raises(LineageError, match=words):
        optimal_contributions(given.pop("kinship"), given.pop("is_male"), **given)


@pytest.mark.parametrize("young", [1, 5])
def test_the_diversity_a_pair_gains_is_what_reckoning_anew_gives(young):
    ped = Pedigree.from_rows(random_rows(8, animals=30))
    names = [f"a{n}" for n in range(20, 30)]
    gained = diversity_gained(LivingKinship.of(ped, names), names[:3], names[6:], young)
    pups = [f"p{n}" for n in range(young)]
    for row, female in enumerate(names[:3]):
        for column, male in enumerate(names[6:]):
            grown = ped.with_rows([(pup, male, female) for pup in pups])
            wanted = gene_diversity(grown, names + pups) - gene_diversity(ped, names)
            assert gained[row, column] == pytest.approx(wanted, abs=1e-12)


def test_the_slider_goes_from_low_inbreeding_to_rare_parents():
    inbreeding = np.array([[0.25, 0.0], [0.125, 0.0625]])
    args = (inbreeding, [0.1, 0.2], [0.05, 0.3])
    assert slider_cost(*args, 0).tolist() == inbreeding.tolist()
    assert slider_cost(*args, 1) == pytest.approx(np.array([[0.075, 0.2], [0.125, 0.25]]))
    with pytest.raises(LineageError, match=r"from 0 .* not 1\.5"):
        slider_cost(*args, 1.5)
    with pytest.raises(LineageError, match="fit together"):
        slider_cost(inbreeding, [0.1], [0.05, 0.3], 0.5)
