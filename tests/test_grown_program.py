"""Pages of a program of ten years: none grows with the animals that are not on it."""

import pytest
from django.db import transaction

from benchmarks.pages import MOST_BYTES, addresses, exponent
from benchmarks.programs.grown import fill
from breeding.program import clock

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database("how long pages are, whichever database answers"),
]
SMALL, LARGE = (640, 48), (1280, 96)  # animals, and of these females that breed
GROWS = 0.45  # at most: the twofold becomes less than 1.4 times as large
LONG = (
    "agenda:day",
    "animals:index",
    "buyers:waiting",
    "pairings:company",
    "pairings:female",
    "pairings:season",
    "pairings:year",
    "planning:table",
)


def test_long_pages_have_an_end(as_owner, owner):
    with transaction.atomic():
        small = _bytes(as_owner, owner, *SMALL)
        transaction.set_rollback(True)
    large = _bytes(as_owner, owner, *LARGE)
    assert {name: size for name, size in large.items() if size > MOST_BYTES} == {}
    grows = {name: exponent(small[name], large[name], (SMALL[0], LARGE[0])) for name in LONG}
    assert {name: power for name, power in grows.items() if power > GROWS} == {}


def _bytes(client, owner, size, breeding):
    grown = fill(owner, clock.today(), size, breeding=breeding, weeks=3, signs=5)
    pages = addresses(grown)
    answers = {name: client.get(pages[name]) for name in LONG}
    assert {one.status_code for one in answers.values()} == {200}
    return {name: len(one.content) for name, one in answers.items()}
