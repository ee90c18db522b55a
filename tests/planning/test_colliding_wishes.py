"""Which wishes for a season collide, held against trying every plan of a few animals."""

import itertools
import random

import numpy as np
import pytest

from breeding.planning.season.colliding import can_hold, colliding
from breeding.planning.season.wishes import Asked, Wishes

NAMES = ("Vega", "Mira", "Spica", "Capella"), ("Altair", "Deneb", "Rigel")


def asked(inbreeding, *, must=(), must_not=(), species=(), strains=(), too_wide=(), **wishes):
    """A table of F in per cent, and pairs as (row, column)."""
    table = np.array(inbreeding, float) / 100

    def of(pairs):
        found = np.zeros(table.shape, bool)
        for pair in pairs:
            found[pair] = True
        return found

    rows, columns = table.shape
    usual = {"per_female": 1, "per_male": None, "keep_species": bool(species)}
    return Asked(
        Wishes(**usual | {"keep_strains": bool(strains)} | wishes),
        table,
        NAMES[0][:rows],
        NAMES[1][:columns],
        of(must),
        of(must_not),
        of(species),
        of(strains),
        of(too_wide),
    )


def test_a_limit_that_no_pair_keeps_is_named_alone_with_the_lowest_f():
    found = colliding(asked([[25, 12.5], [25, 25]], most=0.1))
    assert [one.wishes for one in found.collisions] == [("most",)]
    assert str(found) == (
        "Nobody can be paired: you ask for F of at most 10 %. The lowest F of any pair is 12.5 %."
    )
    assert found.ways_out == ("F up to 12.5 %",)


def test_a_male_too_wide_for_her_is_named_and_a_pair_kept_by_hand_is_the_way_out():
    found = colliding(asked([[0, 0]], too_wide=[(0, 0), (0, 1)]))
    assert [one.wishes for one in found.collisions] == [("sizes",)]
    assert "you ask for no male much wider than the female." in str(found)
    assert found.ways_out == ("a pair with a wider male kept by hand",)
    assert "sizes" not in asked([[0]], too_wide=[(0, 0)], must=[(0, 0)]).binding


def test_the_f_to_accept_can_be_typed():
    """1/128 is 0.78125 %; the form takes hundredths of a per cent."""
    found = colliding(asked([[100 / 128]], most=0.001))
    assert found.ways_out == ("F up to 0.79 %",)
    assert can_hold(asked([[100 / 128]], most=0.0079), frozenset({"most"}))


def test_more_pairings_than_the_males_can_give():
    """Two males with one litter each make two pairings."""
    found = colliding(asked([[0, 0], [0, 0], [0, 0]], litters=3, per_male=1))
    assert [one.wishes for one in found.collisions] == [("litters", "per_male")]
    assert str(found) == (
        "You ask for 3 pairings in all and at most 1 litter of each male; that cannot all be. "
        "That leaves at most 2 litters: 1 litter each of Altair and Deneb."
    )
    assert found.ways_out == ("2 pairings in all", "up to 2 litters of each male")


def test_a_pure_species_is_named_as_the_wish_it_is_and_not_pair_by_pair():
    every = list(itertools.product(range(4), range(3)))
    found = colliding(asked(np.zeros((4, 3)), species=every))
    assert str(found) == "Nobody can be paired: you ask for pure species kept pure."
    assert found.ways_out == ("new hybrids allowed",)


def test_of_the_pairs_ruled_out_only_those_in_the_way_are_named():
    """Vega with Altair is the only pair within a strain; the other pair ruled out is across."""
    found = colliding(
        asked([[0, 0], [0, 0]], must_not=[(0, 0), (1, 1)], strains=[(0, 1), (1, 0), (1, 1)])
    )
    assert [one.wishes for one in found.collisions] == [("keep_strains", "must_not")]
    assert str(found).startswith(
        "You ask for pairs only within a strain and Vega and Altair not together; "
        "that cannot all be."
    )
    assert found.ways_out == ("pairs across strains allowed", "Vega and Altair allowed again")


def test_pairs_kept_by_hand_against_f_and_against_the_free_tanks():
    found = colliding(
        asked([[25, 0], [0, 25]], must=[(0, 0), (1, 0)], per_female=1, most=0.125, most_pairings=1)
    )
    assert {one.wishes for one in found.collisions} == {("most", "must"), ("most_pairings", "must")}
    assert found.said == (
        "You ask for no more pairings than free tanks (1) and Vega and Altair as well as Mira and "
        "Altair together; that cannot all be.",
        "You ask for F of at most 12.5 % and Vega and Altair together; that cannot all be. "
        "Vega with Altair has F 25 %.",
    )
    assert found.ways_out == ("Vega and Altair not kept together",)


def test_where_no_single_wish_is_enough_the_fewest_are_named_together():
    """Two things bar the only pair: its F and its two species."""
    found = colliding(asked([[25]], species=[(0, 0)], most=0.1))
    assert [one.wishes for one in found.collisions] == [("most",), ("keep_species",)]
    assert found.ways_out == ()
    assert found.together == ("F of at most 10 %", "pure species kept pure")


def test_more_pairings_than_there_are_pairs():
    found = colliding(asked([[0, 0]], litters=3, per_female=5))
    assert str(found) == (
        "You ask for 3 pairings in all, and 1 female and 2 males make only 2 pairs."
    )
    assert found.ways_out == ("2 pairings in all",)


# ------------------------------------------------------------------------- every plan tried


def plans(one, keep):
    """Every set of pairs, at least one, that keeps these wishes."""
    w = one.wishes
    rows, columns = one.inbreeding.shape
    every = list(itertools.product(range(rows), range(columns)))
    for size in range(1, len(every) + 1):
        for some in itertools.combinations(every, size):
            mine = [pair[0] for pair in some], [pair[1] for pair in some]
            must = {tuple(pair) for pair in np.argwhere(one.must).tolist()}
            kept = {
                "per_female": all(mine[0].count(row) <= w.per_female for row in range(rows)),
                "per_male": all(mine[1].count(at) <= (w.per_male or 0) for at in range(columns)),
                "litters": w.litters == size,
                "most": all(one.inbreeding[pair] <= (w.most or 0) + 1e-12 for pair in some),
                "must": must <= set(some),
                "must_not": not any(one.must_not[pair] for pair in some),
                "keep_species": not any(one.across_species[pair] for pair in some),
                "keep_strains": not any(one.across_strains[pair] for pair in some),
                "most_pairings": True,
            }
            if "must" in keep and w.most_pairings is not None:
                kept["most_pairings"] = len(must) <= w.most_pairings
            if all(kept[name] for name in keep):
                yield some


@pytest.mark.parametrize("seed", range(12))
def test_the_wishes_named_are_the_smallest_that_collide(seed):
    chance = random.Random(seed)
    rows, columns = chance.choice([(2, 2), (3, 2), (2, 3), (3, 3)])
    every = list(itertools.product(range(rows), range(columns)))

    def some(share):
        return [pair for pair in every if chance.random() < share]

    one = asked(
        [[chance.choice([0, 3, 12.5, 25]) for _ in range(columns)] for _ in range(rows)],
        must=some(0.2),
        must_not=some(0.3),
        species=some(0.4),
        strains=some(0.3),
        per_male=chance.choice([None, 1]),
        most=chance.choice([None, 0.02, 0.1]),
        litters=chance.choice([None, 2, 3, 4]),
        most_pairings=chance.choice([None, 1]),
    )
    binding = sorted(one.binding)
    impossible = {
        frozenset(names)
        for size in range(len(binding) + 1)
        for names in itertools.combinations(binding, size)
        if next(plans(one, frozenset(names)), None) is None
    }
    smallest = {names for names in impossible if not any(less < names for less in impossible)}
    if not impossible:
        assert can_hold(one, one.binding)
        return
    found = colliding(one)
    assert {frozenset(collision.wishes) for collision in found.collisions} == smallest
    sizes = [len(collision.wishes) for collision in found.collisions]
    assert sizes == sorted(sizes)
    single = {name for name in binding if one.binding - {name} not in impossible}
    assert bool(found.together) == (not single)
    assert len(found.ways_out) <= len(single)
    assert len(found.ways_out) >= len(single - {"litters"})
