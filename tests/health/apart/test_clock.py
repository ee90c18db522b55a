"""From when the days of a quarantine are reckoned: bare figures, no database."""

import datetime

import pytest

from breeding.health.apart.clock import Event, Spell, added, apart, in_one_tank

Date = datetime.date
NAMES = {1: "Rigel", 2: "Mira", 3: "Vega"}


def day(number):
    return Date(2026, 3, 1) + datetime.timedelta(days=number)


def spell(animal, since, until=None, *, tank=9, water="tank 9", is_apart=True):
    return Spell(animal, water, tank, day(since), None if until is None else day(until), is_apart)


def clock(own, beside=(), events=(), *, on=20, by_word=None, ended=None):
    spells = [*own, *beside]
    return apart(
        in_one_tank(own),
        [*added(spells, NAMES), *events],
        spells,
        by_word=None if by_word is None else day(by_word),
        ended_on=None if ended is None else day(ended),
        on=day(on),
        names=NAMES,
    )


def test_it_begins_on_the_day_it_comes_to_a_tank_for_quarantine():
    found = clock([spell(1, 3)])
    assert (found.since, found.start, found.left_on) == (day(3), (day(3), ""), None)


def test_it_is_none_anywhere_else_unless_by_word():
    own = [spell(1, 3, is_apart=False)]
    assert clock(own) is None
    assert clock(own, by_word=5).since == day(5)


def test_it_has_not_begun_before_its_day():
    assert clock([spell(1, 3)], on=2) is None


def test_one_that_is_added_starts_it_again_for_those_that_were_there():
    found = clock([spell(1, 3)], [spell(2, 10)])
    assert found.start == (day(10), "Mira was added")
    assert clock([spell(2, 10)], [spell(1, 3)]).start == (day(10), "")


def test_of_two_added_on_one_day_the_same_is_named_whoever_was_written_down_first():
    mira, vega = spell(2, 10), spell(3, 10, tank=8)
    assert clock([spell(1, 3)], [vega, mira]).start == (day(10), "Mira was added")
    assert clock([spell(1, 3)], [mira, vega]).start == (day(10), "Mira was added")


def test_one_that_comes_along_starts_nothing_again():
    assert clock([spell(1, 3)], [spell(2, 3)]).start == (day(3), "")


def test_one_that_came_before_starts_nothing_again():
    assert clock([spell(1, 3)], [spell(2, 0)]).start == (day(3), "")


def test_a_closed_divider_parts_no_water_and_brings_nobody():
    own = [spell(1, 3, 8), spell(1, 8)]
    assert clock(own, [spell(2, 0, 8), spell(2, 8)]).start == (day(3), "")


def test_another_tank_of_one_water_counts_and_a_move_within_it_does_not():
    far = spell(2, 10, tank=8, is_apart=False)
    assert clock([spell(1, 3)], [far]).start.on == day(10)
    within = [spell(2, 0, 10, tank=8, is_apart=False), spell(2, 10)]
    assert clock([spell(1, 3)], within).start.on == day(3)


def test_one_that_comes_as_it_leaves_has_not_met_it():
    assert clock([spell(1, 3, 10)], [spell(2, 10)]).start.on == day(3)


def test_one_that_left_early_keeps_its_clock_whoever_comes_to_the_tank_it_left():
    found = clock([spell(1, 3, 10)], [spell(2, 12)])
    assert (found.start.on, found.left_on) == (day(3), day(10))


def test_moved_on_to_others_in_quarantine_it_begins_again_and_to_an_empty_tank_it_goes_on():
    own = [spell(1, 3, 10), spell(1, 10, tank=7, water="tank 7")]
    assert clock(own).start.on == day(3)
    assert clock(own, [spell(2, 0, tank=7, water="tank 7")]).start == (day(10), "it came to Mira")


@pytest.mark.parametrize(("on", "begins"), [(2, 3), (12, 12), (20, 20), (21, 3)])
def test_what_happens_in_its_water_meanwhile_starts_it_again(on, begins):
    found = clock([spell(1, 3)], events=[Event(day(on), "tank 9", "Vega died")])
    assert found.start.on == day(begins)


def test_what_happens_in_another_water_does_not():
    found = clock([spell(1, 3)], events=[Event(day(12), "tank 8", "Vega died")])
    assert found.start.on == day(3)


def test_it_is_over_when_it_was_ended_and_begins_anew_when_one_is_added():
    assert clock([spell(1, 3)], ended=15) is None
    found = clock([spell(1, 3)], [spell(2, 18)], ended=15)
    assert (found.since, found.start) == (day(18), (day(18), ""))
    assert clock([spell(1, 3)], [spell(2, 10)], ended=15) is None


def test_by_word_anywhere_one_that_is_added_starts_it_again():
    own, mira = [spell(1, 0, is_apart=False)], [spell(2, 9, is_apart=False)]
    assert clock(own, mira, by_word=5).start == (day(9), "Mira was added")
