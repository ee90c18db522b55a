"""Thirty young, weighed weekly and fed daily: how early the day tells of an illness, and in vain.

The year is simulated (raised.py); the first twenty-eight weeks hold every illness of it.
`python -m benchmarks.raising` lives through all of it and prints the table.
"""

import pytest

from breeding.program import clock
from tests.litters.raised import DAY, DAYS, ILLNESSES, WEEK, raise_them

pytestmark = pytest.mark.django_db
LIVED = 28 * WEEK
REFUSES, WASTES = 3, 14  # days; weighed once a week, two weighings show what one may hide
MOST_FALSE_A_WEEK = 0.5  # for all thirty


def test_every_illness_is_noticed_early_and_few_alarms_are_false(owner):
    heard = raise_them(owner, clock.today() - DAYS * DAY, days=LIVED)
    late = {
        one: heard.noticed.get(one)
        for one in ILLNESSES
        if heard.noticed.get(one, (LIVED, ""))[0] > (REFUSES if one.leaves else WASTES)
    }
    assert late == {}
    assert all(heard.noticed[one][1] == "off_food" for one in ILLNESSES if one.leaves)
    assert all(heard.noticed[one][1] == "lagging" for one in ILLNESSES if not one.leaves)
    assert heard.false_a_week < MOST_FALSE_A_WEEK
