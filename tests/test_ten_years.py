"""Ten years of daily rows cost a page no more questions than one year of them."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from benchmarks.daily import MOST_QUERIES, addresses
from benchmarks.daily_rows import build_house, write_years
from breeding.program import clock

pytestmark = pytest.mark.django_db
SHARE = 0.05  # of the rows that the benchmark writes
# Pages that ask more than the others may, and how much they asked when this was written: they are
# to ask less, and never more.
AT_MOST = {
    "agenda:day": 77,
    "animals:detail": 78,
    "litters:index": 34,
    "litters:detail": 56,
    "litters:weigh": 34,
    "litters:ready": 60,
    "housing:detail": 28,
    "housing:weigh": 34,
    "feeding:tank": 21,
    "records:chronicle": 32,
    "records:animal": 26,
}


def test_no_page_asks_more_after_ten_years_than_after_one(as_owner, owner):
    house = build_house(owner, clock.today(), grown=20, gone=4)
    pages = addresses(house)
    write_years(house, 0, 1, share=SHARE)
    after_one = {name: _questions(as_owner, page) for name, page in pages.items()}
    write_years(house, 1, 10, share=SHARE)
    after_ten = {name: _questions(as_owner, page) for name, page in pages.items()}
    assert {name: count for name, count in after_ten.items() if count > after_one[name]} == {}
    over = {name: n for name, n in after_ten.items() if n > AT_MOST.get(name, MOST_QUERIES)}
    assert over == {}
    assert len(pages) >= 25


def _questions(client, page):
    """Of the second visit: the first reads what is kept in memory."""
    client.get(page)
    with CaptureQueriesContext(connection) as asked:
        client.get(page)
    return len(asked)
