"""Spots are found where they were painted, light or dark, and none where there is none."""

import numpy as np
import pytest

from breeding.spots import find_spots, read_picture
from tests.spots.rendered import View, invented, picture

CLEAR = View(tilt_degrees=0, ripple=0, taps=0, glare=0, shade=0.2, blur=0.006, noise=3, missing=0)
TAPS = np.array([[200, 20], [20, 200], [380, 200], [200, 380.0]])


def nearest(places, others):
    """How far each place is from the nearest of the others."""
    return np.hypot(*(places[:, None, :2] - others[None, :, :2]).transpose(2, 0, 1)).min(1)


def painted(spots, ground=60, colour=200):
    """A plain disc of half width 180 with exact round spots (x, y, radius in the frame)."""
    image = np.full((400, 400, 3), 110, np.uint8)
    rows, columns = np.mgrid[0:400, 0:400]
    image[np.hypot(columns - 200, rows - 200) < 180] = ground
    for x, y, radius in spots:
        image[np.hypot(columns - 200 - 180 * x, rows - 200 - 180 * y) < 180 * radius] = colour
    return image


PLAIN = np.array([[0, 0, 0.06], [0.4, -0.3, 0.08], [-0.5, 0.2, 0.05], [0.1, 0.7, 0.07],
                  [-0.3, -0.6, 0.06], [0.6, 0.4, 0.05]])  # fmt: skip


@pytest.mark.parametrize(("ground", "colour"), [(60, 200), (190, 40), (90, 130), (150, 110)])
def test_round_spots_are_found_where_they_are_and_as_large_as_they_are(ground, colour):
    found = find_spots(painted(PLAIN, ground, colour), TAPS)
    assert found.dtype == np.float64
    assert found.shape == (6, 3)
    apart = np.hypot(*(PLAIN[:, None, :2] - found[None, :, :2]).transpose(2, 0, 1))
    assert apart.min(1).max() < 0.01
    assert found[apart.argmin(1), 2] == pytest.approx(PLAIN[:, 2], rel=0.3)


def test_a_negative_picture_has_the_same_spots_but_dark():
    image = painted(PLAIN, 80, 180)
    light, dark = read_picture(image, TAPS), read_picture(255 - image, TAPS)
    assert light.light
    assert not dark.light
    assert nearest(light.spots, dark.spots).max() < 0.01


def test_a_ring_is_one_spot():
    image = painted(PLAIN)
    rows, columns = np.mgrid[0:400, 0:400]
    for x, y, radius in PLAIN:
        image[np.hypot(columns - 200 - 180 * x, rows - 200 - 180 * y) < 90 * radius] = 60
    found = find_spots(image, TAPS)
    assert len(found) == 6
    assert nearest(PLAIN, found).max() < 0.015


def test_a_turned_picture_has_the_same_spots():
    image = painted(PLAIN)
    turned = np.rot90(image)  # a quarter to the left: x, y becomes y, 399 - x
    taps = np.column_stack([TAPS[:, 1], 399 - TAPS[:, 0]])
    upright, lying = find_spots(image, TAPS), find_spots(turned, taps)
    assert len(upright) == len(lying) == 6
    assert nearest(upright, lying).max() < 0.01


@pytest.mark.parametrize("light", [0, 90, 255])
def test_an_even_picture_has_no_spots(light):
    reading = read_picture(np.full((400, 400, 3), light, np.uint8), TAPS)
    assert reading.spots.shape == (0, 3)
    assert reading.contrast == 0


def test_noise_of_the_camera_is_no_pattern():
    random = np.random.default_rng(8)
    image = np.clip(random.normal(100, 6, (400, 400, 3)), 0, 255).astype(np.uint8)
    assert len(find_spots(image, TAPS)) < 4


def test_a_shade_across_the_disc_moves_no_spot():
    image = painted(PLAIN, 90, 180)
    shade = np.linspace(0.4, 1, 400)[None, :, None]
    found = find_spots((image * shade).astype(np.uint8), TAPS)
    assert nearest(PLAIN, found).max() < 0.015


@pytest.mark.parametrize("kind", ["light", "dark", "rings", "eyes", "rosettes"])
def test_most_painted_spots_are_found_and_most_of_what_is_found_was_painted(kind):
    random = np.random.default_rng(31)
    shot = picture(invented(random, 30, kind), random, CLEAR)
    found = find_spots(shot.image, shot.points)
    assert (nearest(shot.spots, found) < 0.04).mean() >= 0.8
    assert (nearest(found, shot.spots) < 0.04).mean() >= 0.7


def test_at_most_so_many_spots_are_kept():
    line = np.linspace(-0.75, 0.75, 15)
    grid = [(x, y, 0.03) for x in line for y in line if np.hypot(x, y) < 0.85]
    assert len(grid) > 130
    assert len(find_spots(painted(np.array(grid)), TAPS)) == 120
