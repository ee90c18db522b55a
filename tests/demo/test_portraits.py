"""The demonstration's drawn rays: the same each time, and alike in families."""

import time
from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from breeding.demo.drawn.portraits import PATTERNS, draw, founder_looks, inherit

SIRE = founder_looks("motoro", 1)
DAM = founder_looks("leopoldi", 1)


def opened(looks, **more):
    return Image.open(BytesIO(draw(looks, **{"sex": "female", **more})))


def distance(a, b):
    return float(np.linalg.norm(np.subtract(a, b)))


def test_the_same_animal_is_drawn_to_the_same_bytes():
    assert draw(founder_looks("motoro", 1), sex="male") == draw(SIRE, sex="male")


def test_no_two_animals_carry_the_same_spots():
    assert draw(founder_looks("motoro", 2), sex="male") != draw(SIRE, sex="male")
    first, second = (inherit(SIRE, DAM, seed) for seed in (1, 2))
    assert draw(first, sex="male") != draw(second, sex="male")


def test_a_drawing_is_a_square_jpeg_of_the_size_asked_for_and_under_25_kb():
    for key in ("motoro", "leopoldi", "henlei", "jabuti", "tigrina"):
        content = draw(founder_looks(key, 3), sex="male")
        picture = Image.open(BytesIO(content))
        assert (picture.format, picture.size) == ("JPEG", (480, 480))
        assert len(content) < 25 * 1024
    assert opened(SIRE, side_px=96).size == (96, 96)


def test_a_drawing_takes_a_fraction_of_a_second():
    draw(SIRE, sex="male")
    began = time.process_time()
    for seed in range(5):
        draw(founder_looks("motoro", seed), sex="male")
    assert (time.process_time() - began) / 5 < 0.2  # about 0.04 s where it was written


def test_a_pup_of_two_kinds_lies_between_its_parents_on_average():
    pups = [inherit(SIRE, DAM, seed) for seed in range(60)]
    mean = np.mean([pup.disc for pup in pups], axis=0)
    assert distance(mean, np.mean([SIRE.disc, DAM.disc], axis=0)) < 6
    rings = PATTERNS.index("rings")
    for pup in pups:
        assert DAM.patterns[rings] - 0.01 <= pup.patterns[rings] <= SIRE.patterns[rings] + 0.01
        assert sum(pup.patterns) == pytest.approx(1)


def test_pups_of_one_litter_differ_from_each_other():
    assert len({inherit(SIRE, DAM, seed).disc for seed in range(20)}) == 20


def test_the_pale_factor_is_recessive():
    pale = founder_looks("motoro", 9, pale=True)
    carriers = [inherit(pale, DAM, seed) for seed in range(20)]
    assert {pup.pale_alleles for pup in carriers} == {1}  # pale to plain: every pup carries one
    assert not any(pup.is_pale for pup in carriers)
    assert all(inherit(pale, pale, seed).is_pale for seed in range(20))
    grandpups = [inherit(carriers[0], carriers[1], seed) for seed in range(400)]
    # One quarter expected (Mendel 1866); 60 to 140 of 400 is over four standard errors.
    assert 60 < sum(pup.is_pale for pup in grandpups) < 140


def test_a_pale_animal_is_drawn_paler():
    dark, pale = opened(DAM).convert("L"), opened(replace(DAM, pale_alleles=2)).convert("L")
    middle = (180, 130, 300, 270)
    assert np.mean(pale.crop(middle)) > np.mean(dark.crop(middle)) + 60


def test_a_male_is_told_by_his_claspers():
    below = (150, 330, 330, 400)
    male, female = (opened(SIRE, sex=sex).crop(below) for sex in ("male", "female"))
    assert np.abs(np.subtract(male, female, dtype=int)).max() > 40


def test_every_drawing_says_that_it_is_one():
    corner = (380, 450, 480, 480)
    written = np.asarray(opened(SIRE).convert("L").crop(corner))
    assert written.min() < 130  # dark letters
    assert np.percentile(written, 75) > 160  # on light sand


def test_a_kind_without_a_palette_is_drawn_all_the_same():
    assert opened(founder_looks("some-livebearer", 1)).size == (480, 480)


@pytest.mark.parametrize(("more", "said"), [({"sex": "m"}, "'m'"), ({"side_px": 9}, "not 9")])
def test_a_wrong_sex_or_size_is_refused(more, said):
    with pytest.raises(ValueError, match=said):
        draw(SIRE, **{"sex": "male", **more})
