"""The painter of invented rays is right itself: where it says a spot is, there it was painted."""

import numpy as np
import pytest

from breeding.spots.frame import Frame
from tests.spots.rendered import View, Water, glimpsed, grown, inside, invented, picture

STILL = View(tilt_degrees=0, ripple=0, taps=0, glare=0, shade=0, blur=0, noise=0, missing=0)


def test_spots_of_an_animal_lie_on_its_disc_and_not_on_each_other():
    spots = invented(np.random.default_rng(1), 60).spots
    assert inside(spots[:, :2]).all()
    apart = np.hypot(*(spots[:, None, :2] - spots[None, :, :2]).transpose(2, 0, 1))
    touching = apart < spots[:, None, 2] + spots[None, :, 2]
    assert touching.sum() == len(spots)  # each only with itself


def test_without_tilt_and_ripples_the_spots_lie_where_they_are():
    random = np.random.default_rng(2)
    animal = invented(random, 30)
    shot = picture(animal, random, STILL)
    assert shot.spots[:, :2] * 1.03 == pytest.approx(animal.spots[:, :2], abs=1e-6)


def test_a_light_spot_is_lighter_where_it_is_said_to_be():
    random = np.random.default_rng(3)
    animal = invented(random, 20)
    shot = picture(animal, random, View(missing=0, glare=0, taps=0))
    columns, rows = Frame.of_taps(shot.points).to_pixels(shot.spots[:, :2]).round().astype(int).T
    assert shot.image[rows, columns].mean() > 1.3 * animal.ground


def test_the_water_leads_back_to_where_it_came_from():
    random = np.random.default_rng(4)
    water = Water(View(tilt_degrees=25, ripple=0.04, fold=0.5), random, 400)
    places = random.uniform(-0.7, 0.7, (50, 2))
    assert water.from_pixels(water.to_pixels(places)) == pytest.approx(places, abs=1e-8)


def test_growth_keeps_most_spots_and_adds_some():
    random = np.random.default_rng(5)
    animal = invented(random, 50)
    later = grown(animal, 24, random)
    apart = np.hypot(*(animal.spots[:, None, :2] - later.spots[None, :, :2]).transpose(2, 0, 1))
    assert (apart.min(1) < 0.06).mean() > 0.85
    assert (grown(animal, 0, random).spots == animal.spots).all()


def test_a_glimpse_misses_the_share_it_is_told_to():
    random = np.random.default_rng(6)
    animal = invented(random, 80)
    assert len(glimpsed(animal, random, missed=0.5, wrong=0)) == pytest.approx(40, abs=14)
    exact = glimpsed(animal, random, missed=0, wrong=0, off=0, bent=0)
    assert exact[:, :2] == pytest.approx(animal.spots[:, :2])
