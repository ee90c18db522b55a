"""Ten years of daily rows cost a page no more questions than one year of them, and few at all."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from benchmarks.daily import MOST_QUERIES, addresses
from benchmarks.programs.daily import build_house, write_years
from benchmarks.started import start_again
from breeding.animals.models import Measurement
from breeding.feeding.models import Meal
from breeding.health.models import Observation
from breeding.housing.models import Stay, WaterTest
from breeding.program import clock
from tests.cast import see

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("nothing_kept")]
SHARE = 0.05  # of the rows that the benchmark writes
# In a server that was started just now the chronicle asks once for each kind of record on its
# page: few rows are of many kinds, many rows of few (16 with all that the benchmark writes); and
# of each kind that is added daily by itself.
AT_FIRST = {"records:chronicle": 27, "records:animal": 21}
UNCHANGED = 9  # of a page that was seen before, when nothing was written since


def test_no_page_asks_more_after_ten_years_than_after_one(as_owner, owner):
    house = build_house(owner, clock.today(), grown=20, gone=4)
    pages = addresses(house)
    assert len(pages) >= 25
    write_years(house, 0, 1, share=SHARE)
    after_one = {name: _at_first(as_owner, page) for name, page in pages.items()}
    write_years(house, 1, 10, share=SHARE)
    at_first = {name: _at_first(as_owner, page) for name, page in pages.items()}
    assert {name: count for name, count in at_first.items() if count > after_one[name]} == {}
    over = {name: n for name, n in at_first.items() if n > AT_FIRST.get(name, MOST_QUERIES)}
    assert over == {}
    for page in pages.values():
        as_owner.get(page)
    unchanged = {name: _questions(as_owner, page) for name, page in pages.items()}
    assert {name: count for name, count in unchanged.items() if count > UNCHANGED} == {}
    most = dict.fromkeys(pages, 0)  # right after one act in one room
    for write in _acts(house, owner).values():
        write()
        for name, page in pages.items():
            most[name] = max(most[name], _questions(as_owner, page))
    assert _over(most) == {}


def _acts(house, by):
    """One act in one room each: what a keeper does all day."""
    female = next(one for one in house.grown if one.sex == "F")
    return {
        "weighed": lambda: Measurement.objects.create(
            animal=house.pups[0], on=clock.today(), disc_width_mm=180, weight_g=300, recorded_by=by
        ),
        "fed": lambda: _again(Meal),
        "tested": lambda: _again(WaterTest),
        "seen": lambda: see(female),
        "moved": lambda: _again(Stay),
        "unwell": lambda: Observation.objects.create(
            animal=house.pups[0],
            kind="other",
            since=clock.today() - datetime.timedelta(days=1),
            recorded_by=by,
        ),
    }


def _again(model):
    """Its newest row is written once more, as when a keeper puts it right."""
    model.objects.order_by("-pk").first().save()


def _over(counts):
    return {name: n for name, n in counts.items() if n > MOST_QUERIES}


def _at_first(client, page):
    """Of the first page that a server is asked for after its start."""
    start_again()
    return _questions(client, page)


def _questions(client, page):
    with CaptureQueriesContext(connection) as asked:
        answer = client.get(page)
    assert answer.status_code == 200
    return len(asked)
