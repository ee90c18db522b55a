"""One pattern laid over another: partners, bending, and the assignment that gains most."""

import itertools

import numpy as np
import pytest

from breeding.spots.fit import assigned, fitted
from breeding.spots.shortlist import CLOSER, moved, moves, padded, worth_a_look
from breeding.spots.warp import RANK, basis, places_of_functions, weights_of_columns
from tests.spots.rendered import glimpsed, invented, smooth

STILL = np.array([[[1.0, 0, 0], [0, 1, 0]]])


def best_of_all(gain):
    """The largest sum of gains, by trying every way to give rows to columns or to nobody."""
    rows, columns = gain.shape
    wide = np.hstack([gain, np.zeros((rows, rows))])
    return max(
        sum(wide[row, column] for row, column in enumerate(chosen))
        for chosen in itertools.permutations(range(columns + rows), rows)
    )


@pytest.mark.parametrize("shape", [(1, 1), (2, 3), (3, 2), (3, 4), (4, 3)])
def test_the_assignment_gains_as_much_as_the_best_of_all(shape):
    random = np.random.default_rng(17)
    for _ in range(12):
        gain = random.normal(0, 2, shape)
        pairs = assigned(gain)
        assert len(set(pairs[:, 0])) == len(set(pairs[:, 1])) == len(pairs)
        assert gain[pairs[:, 0], pairs[:, 1]].sum() == pytest.approx(best_of_all(gain))


def test_nothing_is_joined_at_a_loss():
    assert len(assigned(np.full((3, 3), -1.0))) == 0


def test_a_pattern_lies_on_itself_without_bending():
    spots = invented(np.random.default_rng(2), 25).spots
    (fit,) = fitted(spots, spots[None], np.ones((1, len(spots)), bool), STILL)
    assert fit.pairs.tolist() == [[row, row] for row in range(len(spots))]
    assert fit.energy == pytest.approx(0, abs=0.05)


def test_a_bent_and_shuffled_pattern_finds_its_partners_again():
    random = np.random.default_rng(7)
    spots = invented(random, 40).spots
    bent = spots.copy()
    bent[:, :2] += 0.03 * smooth(spots[:, :2], random)
    order = random.permutation(len(spots))
    (fit,) = fitted(bent[order], spots[None], np.ones((1, len(spots)), bool), STILL)
    right = [order[ours] == theirs for ours, theirs in fit.pairs]
    assert len(right) >= 0.95 * len(spots)
    assert np.mean(right) > 0.97
    assert fit.energy > 0.2


def test_pictures_with_fewer_spots_are_fitted_beside_larger_ones_as_alone():
    random = np.random.default_rng(9)
    seen = glimpsed(invented(random, 30), random)
    others = [glimpsed(invented(random, count), random) for count in (8, 50, 20)]
    spots, real = padded(others)
    together = fitted(seen, spots, real, np.repeat(STILL, 3, 0))
    for fit, other in zip(together, others, strict=True):
        (alone,) = fitted(seen, other[None], np.ones((1, len(other)), bool), STILL)
        assert fit.gain == pytest.approx(alone.gain, rel=1e-3)
        assert fit.pairs.tolist() == alone.pairs.tolist()


def test_displacements_have_the_spread_they_were_made_for():
    """The functions give back the kernel where they were made: nearly all of its variance."""
    places = places_of_functions()
    functions = basis(places)
    assert weights_of_columns().shape == (len(places), RANK)
    spread = (functions**2).sum(1)
    at_middle, at_rim = np.hypot(*places.T) < 0.1, np.hypot(*places.T) > 0.95
    assert np.sqrt(spread[at_middle].mean()) == pytest.approx(np.hypot(0.03, 0.04), rel=0.1)
    assert np.sqrt(spread[at_rim].mean()) == pytest.approx(
        np.sqrt(0.03**2 + 0.07**2 + 0.06**2 + 0.04**2), rel=0.1
    )


def test_the_same_animal_is_on_the_shortlist_of_many():
    random = np.random.default_rng(12)
    animals = [invented(random, int(count)) for count in random.integers(8, 30, 100)]
    spots, real = padded([glimpsed(one, random) for one in animals])
    for row in range(0, 100, 10):
        rows, starts = worth_a_look(glimpsed(animals[row], random), spots, real)
        assert len(rows) == len(starts) == CLOSER
        assert row in rows


def test_a_turn_is_undone_by_the_move_that_turns_back():
    spots = invented(np.random.default_rng(3), 40).spots
    turned = spots.copy()
    turned[:, :2] = moved(spots, moves()[4])  # a turn by -12 degrees
    spots_on_record, real = padded([spots])
    _, starts = worth_a_look(turned, spots_on_record, real)
    assert moved(turned, starts[0]) == pytest.approx(spots[:, :2], abs=1e-9)
