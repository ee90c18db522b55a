"""Thirty young, weighed weekly and fed daily: how early the day tells of an illness, and in vain.

The year is simulated (raised.py); the first twenty-eight weeks hold every illness of it.
`python -m benchmarks.raising 1-10` lives through whole years and prints how early each is noticed.
"""

import pytest

from breeding.program import clock
from tests.litters.raised import DAY, DAYS, ILLNESSES, WEEK, Illness, World, raise_them

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database("arithmetic of a year that is simulated"),
]
LIVED = 28 * WEEK
REFUSES, WASTES = 3, 14  # days; weighed once a week, two weighings show what one may hide
THINS = 21  # while its width grows on: the errors of hand and scale hide it for a weighing more
SLOWS = 70  # at two fifths of its pace: while it lasts, and in some years no sooner
MOST_FALSE_A_WEEK = 0.2  # for all thirty


WORLDS = {
    # What is told of an illness at the second weighing is told at the third, and every second week
    # one of thirty is called in vain: far less than the errors themselves grow.
    "twice the errors": (World(error=2, is_fed=False), 24, 0.7),
    "another form of growth": (World(is_gompertz=True, is_fed=False), 14, 0.2),
    "weeks without a weighing": (World(missed=frozenset({11, 16, 20}), is_fed=False), 21, 0.2),
}


def most_days(one: Illness) -> int:
    if one.leaves:
        return REFUSES
    if one.gains:
        return THINS if one.loses else SLOWS
    return WASTES


def test_every_illness_is_noticed_early_and_few_alarms_are_false(owner):
    heard = raise_them(owner, clock.today() - DAYS * DAY, days=LIVED)
    told = {one: heard.noticed.get(one, (DAYS, "never")) for one in ILLNESSES}
    assert {one.words: at for one, at in told.items() if at[0] > most_days(one)} == {}
    assert {kind for one, (_, kind) in told.items() if not one.leaves} == {"lagging"}
    assert heard.false_a_week <= MOST_FALSE_A_WEEK


@pytest.mark.parametrize("name", WORLDS)
def test_measurements_alone_tell_in_worlds_that_are_not_the_tools(owner, name):
    world, days, most_false = WORLDS[name]
    heard = raise_them(owner, clock.today() - DAYS * DAY, days=23 * WEEK, world=world)
    waste = [one for one in ILLNESSES if not one.leaves and not one.gains]
    assert {one.words for one in waste if heard.noticed.get(one, (DAYS, ""))[0] > days} == set()
    assert heard.false_a_week <= most_false
