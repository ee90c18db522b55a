"""The frame of the disc from four taps: exact where the taps are, refused where no disc is."""

import numpy as np
import pytest

from breeding.spots import find_spots
from breeding.spots.frame import REACH, SIDE, Frame, cells, places_of, straightened

CORNERS = np.array([[0, -1], [-1, 0], [1, 0], [0, 1.0]])
UPRIGHT = np.array([[200, 100], [100, 200], [300, 200], [200, 300.0]])
BLANK = np.full((400, 400, 3), 90, np.uint8)


def test_exact_taps_lead_to_the_corners_of_the_frame():
    turn = np.radians(37)
    linear = np.array([[np.cos(turn), np.sin(turn)], [-0.8 * np.sin(turn), 0.8 * np.cos(turn)]])
    taps = 150 * CORNERS @ linear + [310, 260]
    frame = Frame.of_taps(taps)
    assert frame.from_pixels(taps) == pytest.approx(CORNERS, abs=1e-12)
    assert frame.to_pixels(CORNERS) == pytest.approx(taps, abs=1e-9)


def test_the_middle_of_an_upright_disc_is_nought_and_right_of_it_is_right():
    frame = Frame.of_taps(UPRIGHT)
    places = frame.from_pixels(np.array([[200, 200], [250, 200], [200, 225.0]]))
    assert places == pytest.approx(np.array([[0, 0], [0.5, 0], [0, 0.25]]))


def test_taps_that_err_are_met_by_least_squares():
    random = np.random.default_rng(3)
    taps = UPRIGHT + random.normal(0, 5, (4, 2))
    frame = Frame.of_taps(taps)
    columns = np.column_stack([CORNERS, np.ones(4)])
    fitted, *_ = np.linalg.lstsq(columns, taps, rcond=None)
    assert np.array([frame.across, frame.along, frame.middle]) == pytest.approx(fitted)


def test_the_straightened_picture_holds_each_place_in_its_cell():
    image = np.zeros((500, 700, 3), np.uint8)
    turn = np.radians(70)
    axes = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    taps = 140 * CORNERS @ axes + [350, 250]
    place = np.array([[0.4, -0.3]])
    (x, y) = Frame.of_taps(taps).to_pixels(place)[0]
    rows, columns = np.mgrid[0:500, 0:700]
    image[np.hypot(columns - x, rows - y) < 6] = 255
    grey = straightened(image, Frame.of_taps(taps))
    assert grey.shape == (SIDE, SIDE)
    down, right = np.mgrid[0:SIDE, 0:SIDE]
    middle = [(grey * right).sum() / grey.sum(), (grey * down).sum() / grey.sum()]
    assert places_of(np.array([middle])) == pytest.approx(place, abs=0.004)


def waves(side: int) -> np.ndarray:
    """The same smooth picture, painted with more or fewer pixels."""
    line = (np.arange(side) + 0.5) / side
    grey = 120 + 60 * np.sin(20 * line[:, None]) + 60 * np.cos(30 * line[None, :])
    return np.repeat(grey.round()[..., None], 3, axis=2).astype(np.uint8)


def test_a_picture_of_many_pixels_is_straightened_to_the_same():
    shares = np.array([[0.5, 0.1], [0.1, 0.5], [0.9, 0.5], [0.5, 0.9]])
    few, many = (
        straightened(waves(side), Frame.of_taps(shares * side - 0.5)) for side in (400, 3000)
    )
    assert np.abs(few - many).max() < 4


def test_cells_and_places_are_each_others_reverse():
    places = np.array([[0, 0], [REACH, -REACH], [0.31, 0.77]])
    assert places_of(cells(places)) == pytest.approx(places)


@pytest.mark.parametrize(
    ("points", "said"),
    [
        (UPRIGHT[:, [0]], r"shape \(4, 1\); it must be \(4, 2\)"),
        (UPRIGHT[:3], r"shape \(3, 2\); it must be \(4, 2\)"),
        (UPRIGHT[[0, 2, 1, 3]], "mirrored .* swap left and right"),
        (UPRIGHT[[3, 1, 2, 0]], "mirrored"),
        (np.array([[0, 0], [100, 100], [200, 200], [300, 300]]), "nearly on a line"),
        (np.full((4, 2), 200.0), "0 pixels wide .* at least 40"),
        (UPRIGHT * 0.1, "20 pixels wide and 20 long; it must be at least 40"),
        (
            UPRIGHT + 3000,
            r"snout tip is \(3200, 3100\); it must lie on the picture",
        ),
        (np.where(UPRIGHT == 100, np.nan, UPRIGHT), r"left edge|snout tip is \(200, nan\)"),
        (np.where(UPRIGHT == 300, np.inf, UPRIGHT), r"right edge is \(inf, 200\)"),
        ("middle", "must be four taps of two numbers"),
        (None, "must be"),
    ],
)
def test_taps_that_are_no_disc_are_refused_in_words(points, said):
    with pytest.raises(ValueError, match=said):
        find_spots(BLANK, points)


@pytest.mark.parametrize(
    ("image", "said"),
    [
        (np.zeros((0, 0, 3), np.uint8), r"image is empty, \(0, 0, 3\)"),
        (np.zeros((400, 400), np.uint8), r"shape \(400, 400\); it must be \(height, width, 3\)"),
        (np.zeros((400, 400, 4), np.uint8), r"shape \(400, 400, 4\)"),
        (np.zeros((400, 400, 3)), "holds float64; it must hold uint8"),
        (None, "image is a NoneType; it must be an array"),
    ],
)
def test_what_is_no_picture_is_refused_in_words(image, said):
    with pytest.raises(ValueError, match=said):
        find_spots(image, UPRIGHT)
