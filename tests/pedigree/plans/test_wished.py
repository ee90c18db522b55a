"""Plans of which some pairs must be of a kind, against every plan there is."""

import itertools
import math

import numpy as np
import pytest

from pedigree import LineageError
from pedigree.plans import wished
from pedigree.plans.allocation import plan_pairings
from pedigree.plans.balanced import balanced_plan
from pedigree.plans.collisions import NoPlan
from pedigree.plans.wished import Wanted, hold


def every_choice(rows, columns):
    """All sets of pairs: (2^(rows columns), rows, columns)."""
    cells = rows * columns
    numbers = np.arange(2**cells)[:, None] >> np.arange(cells)
    return (numbers & 1).astype(bool).reshape(-1, rows, columns)


EVERY = {(rows, columns): every_choice(rows, columns) for rows in (2, 3) for columns in (2, 3, 4)}


def random_case(rng):
    """A small program: kinship in eighths with many ties, or all different; one or two wishes."""
    shape = tuple(rng.choice([2, 3], 1)) + tuple(rng.choice([2, 3, 4], 1))
    table = rng.integers(0, 5, shape) / 16 if rng.random() < 0.5 else rng.random(shape) / 4
    rules = {
        "per_female": int(rng.integers(1, 3)),
        "per_male": [None, 1, 2][rng.integers(3)],
        "litters": [None, None, 2, 3][rng.integers(4)],
        "most": [None, None, 0.2][rng.integers(3)],
        "forbidden": rng.random(shape) < 0.1,
        "required": np.zeros(shape, bool),
    }
    if rng.random() < 0.2:
        rules["required"][rng.integers(shape[0]), rng.integers(shape[1])] = True
        rules["forbidden"] &= ~rules["required"]
    wishes = [
        (rng.random(shape) < rng.choice([0.3, 0.5]), int(rng.integers(1, 3)))
        for _ in range(rng.choice([1, 1, 2]))
    ]
    return table, rules, wishes


def allowed_plans(table, rules, wishes):
    """Every plan that keeps all the rules and wishes, as sets of pairs."""
    choices = EVERY[table.shape]
    ok = (choices.sum(axis=2) <= rules["per_female"]).all(axis=1)
    if rules["per_male"] is not None:
        ok &= (choices.sum(axis=1) <= rules["per_male"]).all(axis=1)
    barred = rules["forbidden"].copy()
    if rules["most"] is not None:
        barred |= table > rules["most"] + 1e-12
    ok &= ~(choices & barred).any(axis=(1, 2))
    ok &= (choices | ~rules["required"]).all(axis=(1, 2))
    for pairs, number in wishes:
        ok &= (choices & pairs).sum(axis=(1, 2)) >= number
    found = choices[ok]
    counts = found.sum(axis=(1, 2))
    number = counts.max(initial=0) if rules["litters"] is None else rules["litters"]
    return found[(counts == number) & (counts > 0)]


@pytest.mark.parametrize("seed", range(6))
def test_the_plan_is_the_best_of_all_plans_that_hold_the_wishes(seed):
    """Over 100 random programs each: the same least sum as trial of every plan, and proven."""
    rng = np.random.default_rng(seed)
    planned = refused = binding = 0
    for _ in range(100):
        table, rules, wishes = random_case(rng)
        plans = allowed_plans(table, rules, wishes)
        if not len(plans):
            with pytest.raises(NoPlan):
                plan_pairings(table, **rules, wanted=wishes)
            refused += 1
            continue
        plan = plan_pairings(table, **rules, wanted=wishes)
        sums = (plans * table).sum(axis=(1, 2))
        assert plan.total == pytest.approx(sums.min(), abs=1e-12)
        assert plan.proven
        chosen = np.zeros(table.shape, bool)
        for pair in plan.pairs:
            chosen[pair] = True
        assert (plans == chosen).all(axis=(1, 2)).any()
        others = sums[~(plans == chosen).all(axis=(1, 2))]
        behind = others.min() - plan.total if len(others) else math.inf
        assert plan.second_best_behind == pytest.approx(behind, abs=1e-9)
        free = plan_pairings(table, **rules)
        planned += 1
        binding += len(free.pairs) != len(plan.pairs) or free.total < plan.total - 1e-12
    assert planned > 40
    assert refused > 5
    assert binding > 10


def test_what_every_change_costs_is_what_trial_finds():
    """For each pair the best plan with it the other way, among the plans that hold the wishes."""
    rng = np.random.default_rng(77)
    tried = 0
    while tried < 12:
        table, rules, wishes = random_case(rng)
        plans = allowed_plans(table, rules, wishes)
        if not len(plans):
            continue
        tried += 1
        plan = plan_pairings(table, **rules, wanted=wishes)
        sums = (plans * table).sum(axis=(1, 2))
        for row, column in itertools.product(*map(range, table.shape)):
            other = plans[:, row, column] != ((row, column) in plan.pairs)
            expected = sums[other].min() - plan.total if other.any() else math.inf
            if rules["required"][row, column]:
                expected = math.inf
            assert plan.change_of(row, column) == pytest.approx(expected, abs=1e-9)


def test_an_albino_without_mating_sister_to_brother():
    """By hand. Two carriers that are sister and brother (F 1/4) would give it, and so would her
    with an unrelated carrier; least F alone takes neither."""
    table = [[0.0, 0.25, 0.03125], [0.0, 0.0, 0.0]]
    shows = np.array([[0, 1, 1], [0, 0, 0]], bool)
    free = plan_pairings(table, per_male=1)
    assert free.total == 0.0
    plan = plan_pairings(table, per_male=1, wanted=[(shows, 1)])
    assert (0, 2) in plan.pairs
    assert (0, 1) not in plan.pairs
    assert plan.total == 0.03125
    assert plan.proven


def test_a_corner_that_is_no_plan_is_branched_on():
    """Two rings, each of two pairs that are wanted or none: three wanted pairs mean all four.

    Of two females with two males each, either both pairs of the one way are wanted ones or none:
    half of a ring would hold three wanted pairs at less cost, and is no plan.
    """
    table = np.full((4, 4), 0.5)
    table[[0, 1, 2, 3], [0, 1, 2, 3]] = 0.0  # least F, not wanted
    table[[0, 1, 2, 3], [1, 0, 3, 2]] = 0.25
    wanted = np.zeros((4, 4), bool)
    wanted[[0, 1, 2, 3], [1, 0, 3, 2]] = True
    plan = plan_pairings(table, per_male=1, wanted=[(wanted, 3)])
    assert plan.pairs == ((0, 1), (1, 0), (2, 3), (3, 2))
    assert plan.total == 1.0
    assert plan.proven


def test_a_plan_that_would_take_too_many_branches_is_given_without_a_proof(monkeypatch):
    """The same: the bound that is left, three wanted pairs and half of what saves, is below 1."""
    table = np.full((4, 4), 0.5)
    table[[0, 1, 2, 3], [0, 1, 2, 3]] = 0.0
    wanted = np.zeros((4, 4), bool)
    wanted[[0, 1, 2, 3], [1, 0, 3, 2]] = True
    table[wanted] = 0.25
    monkeypatch.setattr(wished, "MOST_NODES", 0)
    plan = plan_pairings(table, per_male=1, wanted=[(wanted, 3)])
    assert plan.total == 1.0
    assert not plan.proven
    monkeypatch.undo()
    assert plan_pairings(table, per_male=1, wanted=[(wanted, 3)]).proven


def test_a_refusal_names_the_wish_and_how_many_still_can_be():
    wanted = np.array([[1, 1], [0, 0]], bool)
    with pytest.raises(NoPlan) as refused:
        plan_pairings(np.zeros((2, 2)), per_female=1, wanted=[(wanted, 2)])
    assert ("wanted", "per_female") in refused.value.collisions
    assert any(one.rule == "wanted" and one.to == 1 for one in refused.value.ways_out)


@pytest.mark.parametrize(
    ("wish", "words"),
    [
        ((np.zeros((2, 2), bool), -1), "wanted[0][1]"),
        ((np.zeros((1, 2), bool), 1), "wanted[0][0]"),
        ("albino", "wanted[0]"),
    ],
)
def test_a_wish_that_cannot_be_is_named(wish, words):
    with pytest.raises(LineageError) as refused:
        plan_pairings(np.zeros((2, 2)), wanted=[wish])
    assert words in str(refused.value)


@pytest.mark.parametrize("seed", range(20))
def test_a_balanced_plan_holds_the_wishes(seed):
    rng = np.random.default_rng(seed)
    parts = rng.dirichlet(np.ones(6), 9)
    kinship = np.clip(parts @ parts.T / 2, 0, 0.5)
    np.fill_diagonal(kinship, 0.5)
    pairs = rng.random((4, 5)) < 0.4
    wanted = Wanted(pairs, min(2, int(pairs.any(axis=1).sum())))
    plan = balanced_plan(kinship, range(4), range(4, 9), per_male=2, wanted=[wanted]).plan
    chosen = np.zeros((4, 5), bool)
    for pair in plan.pairs:
        chosen[pair] = True
    assert hold(chosen, [wanted])
    assert len(plan.pairs) == 4
