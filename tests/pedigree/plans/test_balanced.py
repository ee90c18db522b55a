"""Low F and diversity in one plan, against every plan there is; and which way keeps more."""

import numpy as np
import pytest

from benchmarks.compare_plans import WAYS, compare, seeded_start
from pedigree import LineageError, NoPlan, Pedigree, plan_pairings
from pedigree.plans.balanced import balanced_plan
from tests.pedigree.families import random_rows
from tests.pedigree.plans.test_allocation import kept


def living(seed, number=12):
    ped = Pedigree.from_rows(random_rows(seed, animals=40))
    return ped.kinship_matrix([f"a{n}" for n in range(40 - number, 40)])


def by_trial(kinship, females, males, diversity, share, rules):
    """The least objective of all plans of the right size, each reckoned from its definition."""
    choices = kept(kinship[np.ix_(females, males)], rules)
    sizes = choices.sum(axis=(1, 2))
    choices = choices[sizes == sizes.max()]
    litters = sizes.max()
    shares = np.zeros((len(choices), len(kinship)))
    shares[:, females] = choices.sum(axis=2) / (2 * litters)
    shares[:, males] = choices.sum(axis=1) / (2 * litters)
    mean = (choices * kinship[np.ix_(females, males)]).sum(axis=(1, 2)) / litters
    # Living and young together: each of the living 1/n of the old part, the young by contribution.
    together = (1 - share) / len(kinship) + share * shares
    after = np.einsum("ci,ij,cj->c", together, kinship, together)
    cost = (after - (1 - share) ** 2 * kinship.mean()) / share
    return ((1 - diversity) * mean + diversity * cost).min()


def random_season(seed):
    rng = np.random.default_rng(seed)
    rules = {"per_female": int(rng.integers(1, 3)), "per_male": int(rng.integers(1, 4))}
    if seed % 2:
        rules["forbidden"] = rng.random((4, 4)) < 0.2
    if seed % 3 == 0:
        rules["required"] = np.eye(4, dtype=bool) & (rng.random((4, 4)) < 0.3)
        rules["forbidden"] = rng.random((4, 4)) < 0.2
        rules["forbidden"] &= ~rules["required"]
    rules["litters"] = 3
    return rules, float(rng.choice([0.3, 0.5, 1.0])), float(rng.choice([0.2, 0.6, 1.0]))


def test_the_search_finds_the_best_plan_almost_always_and_never_claims_more():
    """Own arithmetic: 120 seasons of 4 females and 4 males, three litters, all plans tried."""
    females, males = [0, 2, 4, 6], [1, 3, 5, 7]
    best, tried = 0, 0
    for seed in range(120):
        rules, diversity, share = random_season(seed)
        kinship = living(seed)
        wanted_rules = {"diversity": diversity, "young_share": share, **rules}
        try:
            found = balanced_plan(kinship, females, males, **wanted_rules)
        except NoPlan:
            continue
        least = by_trial(kinship, females, males, diversity, share, rules)
        assert found.objective >= least - 1e-12
        assert found.objective - found.above_best <= least + 1e-9
        assert found.plan.proven
        tried += 1
        best += found.objective <= least + 1e-9
    assert tried > 100
    assert best / tried > 0.9


@pytest.mark.parametrize("seed", range(5))
def test_with_only_inbreeding_minded_it_is_the_plan_of_least_inbreeding(seed):
    kinship = living(seed)
    found = balanced_plan(kinship, range(0, 12, 2), range(1, 12, 2), diversity=0, per_male=2)
    wanted = plan_pairings(kinship[::2, 1::2], per_male=2)
    assert (found.pairs, found.above_best) == (wanted.pairs, pytest.approx(0, abs=1e-9))
    assert found.mean_inbreeding == wanted.mean


def test_the_slider_trades_inbreeding_for_kinship():
    kinship = living(3, 20)
    args = (kinship, range(0, 20, 2), range(1, 20, 2))
    steps = [balanced_plan(*args, diversity=d, per_male=3, litters=6) for d in (0, 0.5, 1)]
    kinship_costs = [one.kinship_cost for one in steps]
    assert kinship_costs == sorted(kinship_costs, reverse=True)
    assert steps[0].mean_inbreeding == min(one.mean_inbreeding for one in steps)
    assert kinship_costs[0] > kinship_costs[2]


def test_contributions_are_those_of_the_pairs_and_rules_are_kept():
    kinship = living(6, 16)
    found = balanced_plan(
        kinship,
        range(8),
        range(8, 16),
        diversity=1.0,
        per_male=[0, 1, 1, 2, 2, 2, 2, 2],
        forbidden=[(1, 7)],
        required=[(0, 1)],
        litters=6,
    )
    counts = np.zeros(16)
    for female, male in found.pairs:
        counts[female] += 1
        counts[8 + male] += 1
    np.testing.assert_allclose(found.contributions, counts / 12, rtol=0, atol=1e-15)
    assert counts[:8].max() == 1
    assert counts[8] == 0
    assert (0, 1) in found.pairs
    assert (1, 7) not in found.pairs


def test_what_cannot_be_is_named():
    kinship = np.eye(3) / 2
    with pytest.raises(LineageError, match=r"diversity is from 0 to 1, not 1\.5"):
        balanced_plan(kinship, [0], [1], diversity=1.5)
    with pytest.raises(LineageError, match="young_share is from 0 to 1, not nan"):
        balanced_plan(kinship, [0], [1], young_share=float("nan"))
    with pytest.raises(LineageError, match="males are rows from 0 to 2, not 3"):
        balanced_plan(kinship, [0], [3])
    with pytest.raises(LineageError, match="females are rows of kinship"):
        balanced_plan(kinship, ["Mira"], [1])
    with pytest.raises(LineageError, match=r"not \(2, 3\)"):
        balanced_plan(kinship[:2], [0], [1])
    with pytest.raises(NoPlan, match="no male to choose from"):
        balanced_plan(kinship, [0], [])


@pytest.mark.parametrize("animals", [20, 100])
def test_the_plan_keeps_more_diversity_and_less_inbreeding_than_the_other_ways(animals):
    """Five generations of seeded programs, far outside the standard errors."""
    starts = [seeded_start(animals, seed) for seed in range(1, 7)]
    ways = [way for way in WAYS if way.says in ("random", "lowest F first", "plan, half and half")]
    random, lowest, plan = compare(starts, ways)
    for other in (random, lowest):
        error = np.hypot(plan.gene_diversity_error, other.gene_diversity_error)
        assert plan.gene_diversity - other.gene_diversity > 3 * error
        error = np.hypot(plan.inbreeding_error, other.inbreeding_error)
        assert other.inbreeding - plan.inbreeding > 3 * error


def test_a_comparison_is_the_same_every_time():
    starts = [seeded_start(20, 3)]
    assert compare(starts, WAYS[:2]) == compare([seeded_start(20, 3)], WAYS[:2])
    with pytest.raises(LineageError, match="even number from 8 on, not 7"):
        seeded_start(7, 1)


def test_mean_kinship_with_all_the_living_decides_where_the_candidates_are_alike():
    """Two males unrelated to her and to each other; with the living the first is closer kin."""
    kinship = np.diag([0.5, 0.5, 0.5])
    means = [0.1, 0.2, 0.05]
    found = balanced_plan(kinship, [0], [1, 2], diversity=0.5, young_share=0.1, mean_kinship=means)
    assert found.pairs == ((0, 1),)
    # 2 (1 - y) c'mk + y c'Kc with c = (1/2, 0, 1/2): 1.8 x 0.075 + 0.1 x 0.25
    assert found.kinship_cost == pytest.approx(0.16)
    with pytest.raises(LineageError, match="mean_kinship has the shape"):
        balanced_plan(kinship, [0], [1, 2], mean_kinship=[0.1])
