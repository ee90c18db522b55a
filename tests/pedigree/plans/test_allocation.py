"""The plan of a season against trying every plan there is, and rules that collide."""

import itertools
import time
from fractions import Fraction
from functools import cache

import numpy as np
import pytest

from pedigree import LineageError
from pedigree.plans.allocation import plan_pairings
from pedigree.plans.collisions import NoPlan, WayOut
from pedigree.plans.flow import Network, improved
from tests.pedigree import published

RULES = ("per_female", "per_male", "forbidden", "most", "litters", "required")


@cache
def every_choice(rows, columns):
    """All sets of pairs of a small table: (2^(rows columns), rows, columns)."""
    numbers = np.arange(2 ** (rows * columns))
    bits = numbers[:, None] >> np.arange(rows * columns) & 1
    return bits.reshape(-1, rows, columns).astype(bool)


def kept(inbreeding, rules):
    """Every set of pairs that keeps the rules."""
    choices = every_choice(*inbreeding.shape)
    good = np.ones(len(choices), bool)
    if rules.get("per_female") is not None:
        good &= (choices.sum(axis=2) <= np.array(rules["per_female"])).all(axis=1)
    if rules.get("per_male") is not None:
        good &= (choices.sum(axis=1) <= np.array(rules["per_male"])).all(axis=1)
    if rules.get("forbidden") is not None:
        good &= ~(choices & rules["forbidden"]).any(axis=(1, 2))
    if rules.get("required") is not None:
        good &= (choices | ~rules["required"]).all(axis=(1, 2))
    if rules.get("most") is not None:
        good &= ~(choices & (inbreeding > rules["most"])).any(axis=(1, 2))
    if rules.get("litters") is not None:
        good &= choices.sum(axis=(1, 2)) == rules["litters"]
    return choices[good]


def best_by_trial(inbreeding, rules, cost=None):
    """The plans of the right size and their costs, cheapest first; None when there is none."""
    found = kept(inbreeding, rules)
    if not len(found):
        return None
    sizes = found.sum(axis=(1, 2))
    found = found[sizes == sizes.max()]
    if not sizes.max() and rules.get("litters") is None:
        return None
    costs = (found * (inbreeding if cost is None else cost)).sum(axis=(1, 2))
    order = np.argsort(costs, kind="stable")
    return found[order], costs[order]


def random_case(seed):
    """A small table of F with ties, and some of the rules."""
    rng = np.random.default_rng(seed)
    rows, columns = rng.integers(1, 5, 2)
    inbreeding = rng.choice([0, 1 / 64, 1 / 32, 3 / 64, 1 / 16, 1 / 8, 1 / 4], (rows, columns))
    if seed % 3 == 0:
        inbreeding = rng.random((rows, columns)) / 4

    def room(size):
        return [None, 1, 2, rng.integers(0, 4, size).tolist()][rng.integers(4)]

    rules = {"per_female": room(rows), "per_male": room(columns)}
    if rng.random() < 0.5:
        rules["forbidden"] = rng.random((rows, columns)) < 0.3
    if rng.random() < 0.3:
        rules["most"] = float(rng.choice([1 / 64, 1 / 16, 1 / 8]))
    if rng.random() < 0.5:
        rules["litters"] = int(rng.integers(0, rows * columns // 2 + 2))
    if rng.random() < 0.3:
        rules["required"] = rng.random((rows, columns)) < 0.2
    return inbreeding, rules


@pytest.mark.parametrize("block", range(10))
def test_the_plan_is_the_best_of_all_plans_in_random_cases(block):
    """Forty cases a block, half of them with a cost of their own that can be negative."""
    planned = refused = 0
    for seed in range(40 * block, 40 * block + 40):
        inbreeding, rules = random_case(seed)
        cost = None
        if seed % 2:
            cost = np.random.default_rng(seed).integers(-8, 9, inbreeding.shape) / 16
        wanted = best_by_trial(inbreeding, rules, cost)
        if wanted is None:
            with pytest.raises(NoPlan):
                plan_pairings(inbreeding, cost=cost, **rules)
            refused += 1
            continue
        planned += 1
        choices, costs = wanted
        plan = plan_pairings(inbreeding, cost=cost, **rules)
        assert plan.proven
        assert plan.cost == pytest.approx(costs[0], abs=1e-9)
        assert len(plan.pairs) == choices[0].sum()
        chosen = np.zeros(inbreeding.shape, bool)
        for pair in plan.pairs:
            chosen[pair] = True
        assert (choices == chosen).all(axis=(1, 2)).any(), "a rule is broken"
        assert plan.total == pytest.approx(inbreeding[chosen].sum(), abs=1e-12)
        check_changes(plan, chosen, choices, costs)
    assert planned > 15
    assert refused > 1


def check_changes(plan, chosen, choices, costs):
    """The second best, and each pair the other way, by trial."""
    others = ~(choices == chosen).all(axis=(1, 2))
    behind = costs[others].min() - costs[0] if others.any() else np.inf
    assert plan.second_best_behind == pytest.approx(behind, abs=1e-9)
    if others.any() and plan.pairs:
        assert plan.second_best.cost == pytest.approx(costs[others].min(), abs=1e-9)
        assert plan.second_best.pairs != plan.pairs
    if not plan.pairs:
        return
    for row, column in np.ndindex(chosen.shape):
        differ = choices[:, row, column] != chosen[row, column]
        wanted = costs[differ].min() - costs[0] if differ.any() else np.inf
        assert plan.change[row, column] == pytest.approx(wanted, abs=1e-9)
        instead = plan.instead(row, column)
        if differ.any():
            assert instead.cost == pytest.approx(costs[differ].min(), abs=1e-9)
            assert ((row, column) in instead.pairs) != chosen[row, column]
        else:
            assert instead is None


def smallest_collisions(inbreeding, rules):
    """By trying every set of rules, without the planner."""
    given = [one for one in RULES if rules.get(one) is not None]

    def possible(some):
        some_rules = {name: rules[name] for name in some}
        found = kept(inbreeding, some_rules)
        if "litters" in rules:
            return len(found) > 0
        return bool(len(found)) and found.any()

    found = []
    for size in range(len(given) + 1):
        for some in itertools.combinations(given, size):
            if not any(set(one) <= set(some) for one in found) and not possible(some):
                found.append(some)
    return {frozenset(one) for one in found}


def test_the_rules_that_collide_are_the_smallest_sets_that_trial_finds():
    seen = 0
    for seed in range(200):
        inbreeding, rules = random_case(seed)
        if best_by_trial(inbreeding, rules) is not None:
            continue
        said = refusal(inbreeding, **rules)
        if said.rules == ("litters",):  # more than there are pairs
            assert rules["litters"] > inbreeding.size
            continue
        wanted = smallest_collisions(inbreeding, rules)
        assert {frozenset(one) for one in said.collisions} == wanted
        assert len(said.rules) == min(len(one) for one in wanted)
        seen += 1
    assert seen > 15


def test_lowest_first_is_not_always_best():
    # Own construction, verified two ways; see fixtures/published/own_mate_allocation_greedy_trap.
    values = published.values("own_mate_allocation_greedy_trap")
    pedigree = published.pedigree("own_mate_allocation_greedy_trap")
    females, males = ["D1", "D2"], ["S1", "S2"]
    inbreeding = [[pedigree.kinship(female, male) for male in males] for female in females]
    wanted = {
        f"{m}x{f}": inbreeding[i][j] for i, f in enumerate(females) for j, m in enumerate(males)
    }
    assert {pair: Fraction(f) for pair, f in values["F_progeny"].items()} == wanted
    plan = plan_pairings(inbreeding, per_male=1)
    assert {f"{males[j]}x{females[i]}" for i, j in plan.pairs} == set(values["optimum"])
    assert plan.total == Fraction(values["optimum total F"])
    assert plan.mean == Fraction(values["optimum mean F"])
    assert plan.lowest_first.total == Fraction(values["greedy total F"])
    assert plan.second_best_behind == 0.125
    why = plan.reasons[0]  # the first female: her lowest would be S1 at 0, and cost 1/8 in the sum
    assert (why.male, why.inbreeding, why.lowest, why.lowest_change) == (1, 0.0625, 0, 0.125)


@pytest.mark.parametrize(
    ("room", "litters"), [((1, 4), None), ((1, 4), 150), ((2, 6), 300), ((1, None), 180)]
)
def test_two_hundred_females_and_sixty_males_within_three_seconds(room, litters):
    inbreeding = np.random.default_rng(5).random((200, 60)) / 4
    begin = time.process_time()
    plan = plan_pairings(inbreeding, per_female=room[0], per_male=room[1], litters=litters)
    assert plan.proven
    assert time.process_time() - begin < 3
    assert plan.cost <= plan.lowest_first.cost


@pytest.mark.parametrize("seed", range(5))
def test_any_plan_is_improved_to_the_best_one(seed):
    """A second way to the same answer: rings of changes, from a plan that is far from good."""
    rng = np.random.default_rng(seed)
    cost = rng.integers(0, 1000, (12, 8)).astype(float)
    network = Network(cost, np.ones((12, 8), bool), np.full(12, 2), np.full(8, 3))
    worst = improved(
        Network(-cost, network.free, network.female_room, network.male_room), network.largest()[1]
    ).residual.chosen
    found = improved(network, worst)
    plan = plan_pairings(cost / 1024, per_female=2, per_male=3)
    assert found.cost / 1024 == plan.total
    assert cost[worst].sum() > found.cost == found.bound


def test_what_is_not_the_best_does_not_count_as_proven():
    cost = np.array([[0.0, 1.0], [1.0, 4.0]])
    network = Network(cost, np.ones((2, 2), bool), np.ones(2, int), np.ones(2, int))
    proof = improved(network, np.eye(2, dtype=bool))
    proof.residual.chosen = np.eye(2, dtype=bool)
    assert (proof.cost, proof.bound) == (4, 2)


def refusal(*args, **rules):
    with pytest.raises(NoPlan) as caught:
        plan_pairings(*args, **rules)
    return caught.value


def test_a_refusal_says_which_rules_collide_and_what_would_help():
    said = refusal([[0.25, 0.0], [0.25, 0.0], [0.0, 0.25]], per_male=1, most=0.125, litters=3)
    assert said.rules == ("litters", "per_male")
    assert said.bottleneck.most == 2
    assert set(said.ways_out) == {WayOut("litters", 2), WayOut("per_male", 2)}
    assert str(said) == "No plan: litters and per_male."


def test_a_refusal_names_the_limit_that_would_do():
    said = refusal([[0.25, 0.125]], most=0.0625)
    assert said.rules == ("most",)
    assert said.ways_out == (WayOut("most", 0.125),)


def test_a_refusal_names_the_required_pairs_at_issue_and_no_others():
    said = refusal(
        np.zeros((3, 3)),
        required=[(0, 0), (0, 1), (2, 2)],
        females=["Mira", "Vega", "Lyra"],
        males=["Altair", "Rigel", "Deneb"],
    )
    assert set(said.rules) == {"per_female", "required"}
    assert said.found[0].required == (("Mira", "Altair"), ("Mira", "Rigel"))
    assert WayOut("per_female", 2) in said.ways_out


def test_a_refusal_names_the_required_pairs_that_are_too_close():
    said = refusal([[0.25, 0.0]], required=[(0, 0)], most=0.125, per_female=None)
    assert said.too_close == ((("female 0", "male 0"), 0.25),)


def test_a_refusal_names_the_forbidden_pair_that_would_do():
    said = refusal(
        np.zeros((2, 2)), forbidden=[(0, 0), (0, 1), (1, 0)], litters=2, females=["Mira", "Vega"]
    )
    assert said.rules == ("litters", "forbidden")
    (allowed,) = [way.pairs for way in said.ways_out if way.rule == "forbidden"]
    assert [female for female, _ in allowed] == ["Mira"]


def test_more_litters_than_pairs_and_nobody_to_pair_are_refused():
    assert refusal([[0.0, 0.0]], per_female=None, litters=3).ways_out == (WayOut("litters", 2),)
    assert str(refusal(np.zeros((0, 3)))) == "No plan: no female to choose from."


def test_no_litters_are_an_empty_plan():
    plan = plan_pairings([[0.25]], litters=0)
    assert (plan.pairs, plan.total, plan.proven, plan.second_best) == ((), 0, True, None)


@pytest.mark.parametrize(
    ("rules", "words"),
    [
        ({"most": 1.5}, "most is from 0 to 1, not 1.5"),
        ({"most": float("nan")}, "most is from 0 to 1, not nan"),
        ({"most": "much"}, "not 'much'"),
        ({"litters": -1}, "litters is a whole number, 0 or more, not -1"),
        ({"litters": 1.5}, "litters is a whole number, 0 or more, not 1.5"),
        ({"per_male": float("inf")}, "per_male is a whole number, 0 or more, not inf"),
        ({"per_male": [1, 2, 3]}, r"one for each of 2, not of the shape \(3,\)"),
        ({"per_female": [1, -2]}, r"per_female\[1\] is a whole number, 0 or more, not -2"),
        ({"forbidden": [[True]]}, r"forbidden has the shape \(2, 2\), not \(1, 1\)"),
        ({"forbidden": [(0, 2)]}, "row 0 and column 2"),
        ({"required": np.full((2, 2), 3.0)}, "holds True and False, not"),
        ({"cost": [[1, 2], [3, np.inf]]}, r"finite numbers, not inf \(row 1, column 1\)"),
        ({"females": ["Mira"]}, "females has 1 names for 2 animals"),
    ],
)
def test_a_value_that_cannot_be_is_named(rules, words):
    with pytest.raises(LineageError, match=words):
        plan_pairings([[0.0, 0.25], [0.25, 0.0]], **rules)


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ([[0.0, 1.25]], r"F is from 0 to 1, not 1.25 \(inbreeding, row 0, column 1\)"),
        ([[-0.5]], "not -0.5"),
        ([[float("nan")]], r"finite numbers, not nan \(row 0, column 0\)"),
        ([0.0, 0.25], r"has the shape \(females, males\), not \(2,\)"),
        ([[0.0], [0.0, 0.25]], "table of numbers"),
        ("much", "table of numbers|shape"),
    ],
)
def test_a_table_that_cannot_be_is_named(table, words):
    with pytest.raises(LineageError, match=words):
        plan_pairings(table)
