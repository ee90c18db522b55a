"""Weight for width: the published pair, the own fit, and the span that nine of ten hold."""

import math

import numpy as np
import pytest

from breeding.animals.growth.weight_for_width import (
    ENOUGH_ANIMALS,
    ENOUGH_POINTS,
    Weighed,
    fit_weights,
    weight_of_width,
)

pytestmark = pytest.mark.one_database("arithmetic of weights, without any row")

PUBLISHED = {"factor": 0.0586, "power": 2.9285}


def world(random, animals, *, factor, power, among=0.1, within=0.05, rule_mm=2.5, points=6):
    """Animals of a world that the fit does not know: widths as read with an error of a rule."""
    found = []
    for _ in range(animals):
        own = random.normal(0, among)
        first = math.exp(random.uniform(math.log(9), math.log(40)))
        widths = np.sort(first * np.exp(random.uniform(0, 0.3, points)))
        weights = factor * widths**power * np.exp(own + random.normal(0, within, points))
        read = np.maximum(widths + random.normal(0, rule_mm / 10, points), 1)
        found.append(Weighed(tuple(read), tuple(weights)))
    return found


@pytest.mark.parametrize(("width", "grams"), [(10, 49.7), (20, 378.4), (30, 1240.6)])
def test_the_published_pair_gives_the_published_weights(width, grams):
    assert weight_of_width(width, **PUBLISHED) == pytest.approx(grams, abs=0.05)


def test_what_cannot_be_names_the_value():
    with pytest.raises(ValueError, match="width_cm is 0; a number above 0 is allowed"):
        weight_of_width(0, **PUBLISHED)
    with pytest.raises(ValueError, match="weights_g are"):
        Weighed((10.0,), (-1.0,))


def test_without_any_animal_there_is_no_fit():
    assert fit_weights([], **PUBLISHED) is None


@pytest.mark.parametrize(("factor", "power"), [(0.03, 3.1), (0.09, 2.8)])
def test_a_world_that_the_start_does_not_know_is_recovered(factor, power):
    random = np.random.default_rng(7)
    fit = fit_weights(world(random, 60, factor=factor, power=power), **PUBLISHED)
    assert fit.power == pytest.approx(power, abs=0.08)
    for width in (12, 25, 45):
        assert fit.weight(width) == pytest.approx(factor * width**power, rel=0.06)
    assert fit.among == pytest.approx(0.1, rel=0.35)


def test_nine_of_ten_spans_hold_in_worlds_of_few_and_of_many_animals():
    random = np.random.default_rng(11)
    for animals, repeats in ((5, 40), (15, 20), (60, 6)):
        held = []
        for _ in range(repeats):
            truth = {"factor": 0.03, "power": 3.1, "points": 4}
            fit = fit_weights(world(random, animals, **truth), **PUBLISHED)
            for other in world(random, 25, **truth):
                expected = fit.expected(other.widths_cm[0])
                held.append(expected.low <= other.weights_g[0] <= expected.high)
        assert 0.85 <= np.mean(held) <= 0.95, animals


def test_one_animal_weighed_fifty_times_is_one_animal():
    random = np.random.default_rng(3)
    often = world(random, 1, factor=0.09, power=2.9, among=0.0, points=50)
    others = world(random, 8, factor=0.05, power=2.9, among=0.05, points=2)
    fit = fit_weights([*often, *others], **PUBLISHED)
    assert fit.weight(15) < 1.25 * 0.05 * 15**2.9  # nearer to eight than to the one


def test_enough_are_five_animals_and_twenty_points():
    random = np.random.default_rng(5)
    few = fit_weights(world(random, 4, factor=0.05, power=3, points=10), **PUBLISHED)
    enough = fit_weights(world(random, ENOUGH_ANIMALS, factor=0.05, power=3, points=4), **PUBLISHED)
    assert (few.is_enough, enough.is_enough) == (False, True)
    assert enough.points == ENOUGH_POINTS
    assert not enough.covers(enough.widest_cm * 1.3)
