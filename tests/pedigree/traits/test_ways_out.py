"""What may be wrong when what was seen cannot be: the fewest mistakes and their shares."""

import itertools
import random
from dataclasses import replace

import numpy as np
import pytest

from pedigree import (
    Contradiction,
    Doubts,
    LineageError,
    Mistake,
    OtherBelief,
    Pedigree,
    SexLinked,
    likelihoods,
    ways_out,
)
from tests.pedigree.families import random_rows
from tests.pedigree.traits import brute

NO, SHOWS = (1, 1, 0), (0, 0, 1)
DOUBTS = Doubts(look=0.01, sire=0.02, dam=0.002, mutation=0.001)
TRIO = [("S", None, None), ("D", None, None), ("P", "S", "D")]
SEEN = {"S": SHOWS, "D": SHOWS, "P": NO}


def ways(rows, seen, *, frequency=0.5, doubts=DOUBTS, **more):
    return ways_out(Pedigree.from_rows(rows), seen, frequency=frequency, doubts=doubts, **more)


def named(found):
    return {(one.kind, one.of): way for way in found for one in way.mistakes}


def test_nothing_need_be_wrong_where_everything_can_be():
    assert ways(TRIO, {"S": SHOWS, "P": NO}) == ()


def test_two_that_show_it_with_a_young_that_does_not():
    found = named(ways(TRIO, SEEN))
    # By hand at q = 1/2: P is 0, 1 copies. Look of S wrong: D has 2 (1/4), S hands on none (1/2).
    # Of P: both have 2 (1/16). Sire wrong: both have 2, the true sire hands on none (1/2). A
    # mutation of one of its two genes: 2 x 0.001.
    by_hand = {
        ("look", ("S",)): 0.01 / 8,
        ("look", ("D",)): 0.01 / 8,
        ("look", ("P",)): 0.01 / 16,
        ("sire", ("P",)): 0.02 / 32,
        ("dam", ("P",)): 0.002 / 32,
        ("mutation", ("P",)): 2 * 0.001 / 16,
    }
    assert set(found) == set(by_hand)
    for mistake, chance in by_hand.items():
        assert np.exp(found[mistake].logarithm) == pytest.approx(chance, rel=1e-12)
        assert found[mistake].share == pytest.approx(chance / sum(by_hand.values()), rel=1e-12)


def test_the_likeliest_way_comes_first_and_shares_make_one():
    found = ways(TRIO, SEEN)
    assert [way.logarithm for way in found] == sorted(
        (way.logarithm for way in found), reverse=True
    )
    assert sum(way.share for way in found) == pytest.approx(1)


def test_a_litter_has_one_wrong_sire():
    rows = [*TRIO[:2], *((n, "S", "D", "L") for n in range(4))]
    found = named(ways(rows, {"S": SHOWS, "D": SHOWS, **dict.fromkeys(range(4), NO)}))
    assert ("sire", (0, 1, 2, 3)) in found
    assert not any(kind == "mutation" for kind, _ in found)  # four mutations are more mistakes
    # Both show it (1/16), the true sire hands on none to any of four: q^2 0 + 2pq / 16 + p^2.
    assert np.exp(found["sire", (0, 1, 2, 3)].logarithm) == pytest.approx(
        0.02 / 16 * (1 / 4 + 1 / 2 / 16), rel=1e-12
    )


def test_another_belief_on_inheritance_is_a_way_out():
    looks = {"S": "shows", "D": "shows", "P": "does not"}
    seen = {one: likelihoods("dominant", look) for one, look in looks.items()}
    found = named(ways(TRIO, SEEN, beliefs={"dominant": OtherBelief(seen, 0.1)}))
    # Both have one copy (each 1/2) and hand on none.
    way = found["inheritance", ("dominant",)]
    assert np.exp(way.logarithm) == pytest.approx(0.1 / 16, rel=1e-12)
    impossible = {"S": (1, 0, 0), "D": (1, 0, 0), "P": SHOWS}
    assert len(ways(TRIO, SEEN, beliefs={"never": OtherBelief(impossible, 0.9)})) == 6


def test_of_a_sex_linked_gene_a_daughter_has_what_her_sire_has():
    # S has it and hands it on; D is free. P without a copy: one gene of two has changed, or ...
    seen = {"S": (0, 1, 0), "D": (1, 0, 0), "P": (1, 0, 0)}
    linked = SexLinked.of(["P"], [])
    found = named(ways(TRIO, seen, frequency=0.3, sex_linked=linked))
    before = 0.3 * 0.7**2
    assert np.exp(found["mutation", ("P",)].logarithm) == pytest.approx(0.001 * before)
    assert np.exp(found["sire", ("P",)].logarithm) == pytest.approx(0.02 * before * 0.7)
    # A son has his only gene from D, and S is no matter.
    assert ways(TRIO, {**seen, "P": (1, 0, 0)}, sex_linked=SexLinked.of([], ["P"])) == ()
    son = {"S": (1, 0, 0), "D": (1, 0, 0), "P": (0, 1, 0)}
    found = named(ways(TRIO, son, frequency=0.3, sex_linked=SexLinked.of([], ["P"])))
    assert np.exp(found["mutation", ("P",)].logarithm) == pytest.approx(0.001 * 0.7**3)
    assert ("sire", ("P",)) not in found


def test_two_contradictions_take_two_mistakes():
    rows = [*TRIO, ("T", None, None), ("E", None, None), ("Q", "T", "E")]
    seen = {**SEEN, "T": SHOWS, "E": SHOWS, "Q": NO}
    only_sires = replace(DOUBTS, look=0, dam=0, mutation=0)
    (found,) = ways(rows, seen, doubts=only_sires)
    assert set(found.mistakes) == {Mistake("sire", ("P",)), Mistake("sire", ("Q",))}
    assert found.share == 1


def test_a_doubt_of_none_leaves_no_way():
    with pytest.raises(Contradiction, match="S, D, P"):
        ways(TRIO, SEEN, doubts=Doubts(look=0, sire=0, dam=0, mutation=0))


def test_a_doubt_that_is_no_chance_is_refused():
    with pytest.raises(LineageError, match="wrong sire is from 0 to 1, not 2"):
        replace(DOUBTS, sire=2)


def mistakes_of(rows, seen):
    found = [Mistake("look", (one,)) for one in seen]
    for animal, sire, dam, *_ in rows:
        found += [Mistake("sire", (animal,))] * (sire is not None)
        found += [Mistake("dam", (animal,))] * (dam is not None)
    return found


def put_right(rows, seen, mistakes):
    sires = {one.of[0] for one in mistakes if one.kind == "sire"}
    dams = {one.of[0] for one in mistakes if one.kind == "dam"}
    looks = {one.of[0] for one in mistakes if one.kind == "look"}
    corrected = [
        (one, None if one in sires else sire, None if one in dams else dam)
        for one, sire, dam, *_ in rows
    ]
    return corrected, {one: values for one, values in seen.items() if one not in looks}


@pytest.mark.parametrize("seed", range(12))
def test_all_fewest_mistakes_by_trying_every_set(seed):
    chance = random.Random(seed)
    rows = [row[:3] for row in random_rows(seed, animals=7, unknown=0.1)]
    strict = [(1, 0, 0), (0, 1, 0), (0, 0, 1)]
    seen = {row[0]: chance.choice(strict) for row in rows}
    no_mutation = replace(DOUBTS, mutation=0)
    wanted = {}
    for size in range(4):
        for some in itertools.combinations(mistakes_of(rows, seen), size):
            corrected, kept = put_right(rows, seen, some)
            weights = brute_total(corrected, kept)
            if weights:
                wanted[frozenset(some)] = weights
        if wanted:
            break
    if not wanted:
        with pytest.raises(Contradiction):
            ways(rows, seen, frequency=0.3, doubts=no_mutation)
        return
    found = ways(rows, seen, frequency=0.3, doubts=no_mutation)
    got = {frozenset(way.mistakes): way for way in found if way.mistakes}
    assert set(got) == set(wanted) - {frozenset()}
    for some, way in got.items():
        prior = np.prod([getattr(DOUBTS, one.kind) for one in some])
        assert np.exp(way.logarithm) == pytest.approx(prior * wanted[some], rel=1e-9)


def brute_total(rows, seen):
    """The chance of everything seen: certain genotypes leave few to sum over."""
    order, allowed = brute.with_phantoms([(*row, None) for row in rows]), []
    for animal, *_ in order:
        allowed.append([c for c in range(3) if seen.get(animal, (1, 1, 1))[c]])
    at = {animal: axis for axis, (animal, *_) in enumerate(order)}
    return sum(
        brute.weight(order, at, genotypes, seen, 0.3, None)
        for genotypes in itertools.product(*allowed)
    )
