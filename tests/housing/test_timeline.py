"""Stays as days on a line: room is made without two places at once, and nothing vanishes."""

import datetime
import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breeding.housing.stays.timeline import Cut, InTheWay, Spell, covering, end_of_move, make_room

START = datetime.date(2026, 1, 1)


def on(days):
    return START + datetime.timedelta(days=days)


def spell(since, until, tank=1, key=0):
    return Spell(on(since), None if until is None else on(until), (tank, ""), key)


def test_a_stay_that_lasts_on_both_sides_is_split():
    old = spell(0, None)
    assert make_room([old], spell(10, 19, 2)) == [Cut(old, (on(0), on(10)), (on(19), None))]


def test_stays_that_reach_in_end_and_begin_with_the_new_one():
    before, after = spell(0, 12), spell(15, None, 3)
    assert make_room([before, after], spell(10, 20, 2)) == [
        Cut(before, (on(0), on(10)), None),
        Cut(after, None, (on(20), None)),
    ]


def test_stays_that_only_touch_are_left_alone():
    assert make_room([spell(0, 10), spell(20, None)], spell(10, 20, 2)) == []


def test_a_stay_that_would_vanish_is_in_the_way():
    inside = spell(12, 15, 3)
    with pytest.raises(InTheWay) as found:
        make_room([spell(0, 12), inside, spell(15, None)], spell(10, 20, 2))
    assert found.value.spells == (inside,)


def test_the_same_place_at_that_time_is_in_the_way():
    there = spell(5, None, 2)
    with pytest.raises(InTheWay) as found:
        make_room([there], spell(10, 20, 2))
    assert found.value.spells == (there,)


def test_a_second_move_on_the_same_day_leaves_the_first_that_day():
    first = spell(10, None)
    assert make_room([first], spell(10, None, 2), is_move=True) == [
        Cut(first, (on(10), on(10)), None)
    ]


def test_who_moves_late_stays_until_the_next_thing_on_record():
    spells = [spell(0, 10), spell(20, None)]
    assert end_of_move(spells, on(5)) == on(10)
    assert end_of_move(spells, on(12)) == on(20)
    assert end_of_move(spells, on(25)) is None
    assert covering(spells, on(12)) is None


def test_what_begins_with_the_new_stay_and_would_vanish_is_in_the_way_unless_somebody_moved():
    first = spell(10, 20)
    for new in (spell(10, 20, 2), spell(10, None, 2)):
        with pytest.raises(InTheWay, match="1 spells are in the way"):
            make_room([first], new)
        assert make_room([first], new, is_move=True) == [Cut(first, (on(10), on(10)), None)]


def test_what_begins_after_a_move_does_not_begin_before_it():
    inside = spell(12, 15, 3)
    with pytest.raises(InTheWay):
        make_room([inside], spell(10, 20, 2), is_move=True)
    after = spell(12, None, 3)
    assert make_room([after], spell(10, 20, 2), is_move=True) == [Cut(after, None, (on(20), None))]


def test_what_ends_with_the_new_stay_ends_when_it_begins():
    old = spell(0, 20)
    assert make_room([old], spell(10, 20, 2)) == [Cut(old, (on(0), on(10)), None)]


def test_a_spell_that_is_on_no_record_yet_has_the_key_of_none():
    assert Spell(on(0), None, (1, "")).key == 0  # keys of rows begin at 1


def test_the_same_place_is_in_the_way_though_something_of_it_would_be_left():
    old, elsewhere = spell(0, 12, 2), spell(12, None, 3)
    with pytest.raises(InTheWay) as found:
        make_room([old, elsewhere], spell(10, 20, 2))
    assert found.value.spells == (old,)


def test_what_lies_before_or_after_does_not_hide_what_comes_behind_it():
    old = spell(5, None, 3)
    found = make_room([spell(0, 5), old, spell(30, 40)], spell(10, 20, 2))
    assert found == [Cut(old, (on(5), on(10)), (on(20), None))]


def test_a_spell_covers_its_first_day_and_not_its_last():
    spells = [spell(0, 10), spell(10, 20, 2)]
    assert [covering(spells, on(days)) for days in (0, 9, 10, 19, 20)] == [
        *(spells[0], spells[0]),
        *(spells[1], spells[1]),
        None,
    ]


def test_of_spells_that_overlap_the_one_begun_last_covers_the_day():
    assert covering([spell(5, None, 2), spell(0, None)], on(7)) == spell(5, None, 2)


def test_a_visit_of_one_day_is_not_the_end_of_the_move_on_that_day():
    assert end_of_move([spell(20, 20), spell(30, None), spell(40, None)], on(20)) == on(30)
    assert end_of_move([spell(0, None)], on(20)) is None


def test_two_that_touch_share_no_time_and_two_without_end_do():
    assert not spell(10, 20).shares_time_with(spell(0, 10))
    assert not spell(0, 10).shares_time_with(spell(10, 20))
    assert spell(0, None).shares_time_with(spell(10, None))
    assert spell(10, None).shares_time_with(spell(0, 11))
    assert not spell(10, None).shares_time_with(spell(0, 10))
    assert spell(0, 11).shares_time_with(spell(10, 12))


@st.composite
def lines(draw):
    """An animal's stays without two places at once, and one more span anywhere."""
    edges = sorted(draw(st.lists(st.integers(0, 60), min_size=2, max_size=8)))
    tanks = draw(st.lists(st.integers(1, 4), min_size=len(edges), max_size=len(edges)))
    kept = draw(st.lists(st.booleans(), min_size=len(edges), max_size=len(edges)))
    pairs = list(itertools.pairwise(edges))
    spells = [
        spell(since, until, tank, key)
        for key, ((since, until), tank, keep) in enumerate(zip(pairs, tanks, kept, strict=False))
        if keep
    ]
    since = draw(st.integers(0, 60))
    return spells, spell(since, since + draw(st.integers(0, 20)), 9)


@given(lines())
def test_no_cut_leaves_two_places_at_once_or_loses_a_day_outside_the_new_stay(line):
    spells, new = line
    try:
        cuts = {cut.spell.key: cut for cut in make_room(spells, new)}
    except InTheWay as found:
        for one in found.spells:
            assert new.since <= one.since
            assert one.until <= new.until
        return
    after = [new]
    for old in spells:
        cut = cuts.get(old.key)
        spans = [(old.since, old.until)] if cut is None else [cut.before, cut.after]
        after += [Spell(*span, old.place) for span in spans if span is not None]
    for number, one in enumerate(after):
        assert not any(one.shares_time_with(other) for other in after[number + 1 :])

    def days(spells):
        return {
            (day, one.place)
            for one in spells
            for day in range(one.since.toordinal(), one.until.toordinal())
        }

    new_days = {day for day, _ in days([new])}
    assert days(after) - days([new]) == {one for one in days(spells) if one[0] not in new_days}
