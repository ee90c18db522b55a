"""Chances come true on pictures that nothing was fitted to: painted, found, laid over, and asked.

A small part of what `benchmarks/recognition.py` measures, with seeds of its own.
"""

import numpy as np
import pytest

from benchmarks.rays.worlds import FITTED_TO, HELD_OUT, met, seen
from benchmarks.recognition import Answer, answers
from breeding.spots import likeliest, untold
from tests.spots.rendered import View, glimpsed, grown, invented


@pytest.fixture(scope="module", params=[FITTED_TO, HELD_OUT], ids=["fitted to", "held out"])
def given(request) -> list[Answer]:
    return list(answers(met(request.param, 10, seed=2042)))


def test_most_animals_come_first_among_those_on_record(given):
    known = [one for one in given if one.true is not None]
    assert np.mean([one.is_found for one in known]) >= 0.8


def test_who_is_named_at_95_percent_is_the_animal(given):
    sure = [one for one in given if one.said[0][1] >= 0.95]
    assert len(sure) >= 5
    assert [one.true for one in sure] == [one.said[0][0] for one in sure]


def test_nobody_is_never_said_to_be_sure(given):
    nobody = [dict(one.said)[None] for one in given]
    assert max(nobody) < 0.8
    strangers = [chance for one, chance in zip(given, nobody, strict=True) if one.true is None]
    assert np.mean(strangers) > 0.5


def test_chances_of_few_spots_come_true_as_often_as_they_say():
    """Six to twelve spots, many times, without the cost of painting: no band is too bold."""
    random = np.random.default_rng(77)
    animals = [invented(random, int(random.integers(6, 13))) for _ in range(30)]
    known = {row: [(6.0, glimpsed(one, random))] for row, one in enumerate(animals)}
    said, came = [], []
    for row, one in enumerate(animals):
        found = likeliest(glimpsed(grown(one, 6, random), random, missed=0.2), known)
        said += [chance for who, chance in found if who is not None and chance > 0.1]
        came += [who == row for who, chance in found if who is not None and chance > 0.1]
    assert len(said) >= 25
    assert np.mean(said) < np.mean(came) + 0.06


def test_a_picture_without_spots_or_light_cannot_tell():
    random = np.random.default_rng(9)
    animal, bare = invented(random, 40), invented(random, 3)
    assert untold(seen(animal, View(), random)) is None
    assert untold(seen(bare, View(glare=0, noise=2), random)) == "few"
    assert untold(seen(animal, View(dim=0.93, glare=0, noise=1), random)) in ("dim", "few")
