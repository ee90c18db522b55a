"""Whatever is written, changed or removed of what is added daily: no page says what was before."""

import random

import pytest

from benchmarks.started import forget_everything
from tests.agenda.held import few, told, write
from tests.tries import tries

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("nothing_kept")]
STEPS = 8


@pytest.fixture
def keeper_of_few(owner):
    return few(owner)


@pytest.mark.parametrize("seed", range(tries(4)))
def test_no_page_says_what_was_before(keeper_of_few, seed):
    draw = random.Random(seed)
    told(keeper_of_few)
    for _ in range(STEPS):
        written = [write(draw) for _ in range(draw.choice([1, 1, 3]))]
        kept = told(keeper_of_few)
        assert kept == told(keeper_of_few)
        if draw.random() < 0.5:
            forget_everything()
            anew = told(keeper_of_few)
            for page, words in kept.items():
                assert words == anew[page], (page, written)
