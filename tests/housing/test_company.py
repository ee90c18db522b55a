"""Who shared water with whom: intervals worked out by hand."""

import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.animals.models import Animal
from breeding.animals.services import change_state
from breeding.housing.models import Stay, Tank
from breeding.housing.services import close_divider, move_animal, open_divider
from breeding.housing.stays.shared_water import (
    BareStay,
    places_beside,
    share_water,
    shared_stretches,
)
from tests import cast
from tests.tries import tries

START = datetime.date(2026, 3, 1)
HE, SHE = 1, 2


def day(number):
    return None if number is None else START + datetime.timedelta(days=number)


def place(animal, since, until, tank=9, side=""):
    return BareStay(animal, tank, side, day(since), day(until))


def together(*places):
    """(first, last) in days of every stretch of the two."""
    return [
        (
            (one.first - START).days,
            None if one.last is None else (one.last - START).days,
        )
        for one in shared_stretches(places, [SHE], [HE])
    ]


@pytest.mark.parametrize(
    ("his", "hers", "expected"),
    [
        ((0, 10), (4, 20), [(4, 10)]),
        ((4, 20), (0, 10), [(4, 10)]),
        ((0, None), (4, None), [(4, None)]),
        ((0, None), (4, 6), [(4, 6)]),
        ((0, 4), (4, 20), []),  # a hand-over
        ((4, 20), (0, 4), []),
        ((5, 5), (0, 20), [(5, 5)]),  # a visit of some hours
        ((0, 20), (5, 5), [(5, 5)]),
        ((4, 4), (4, 20), []),  # out on the day she came: nobody knows that they met
        ((4, 20), (4, 4), []),
        ((0, 3), (5, 9), []),
    ],
)
def test_two_stays_in_one_tank_give_the_days_both_were_there(his, hers, expected):
    assert together(place(HE, *his), place(SHE, *hers)) == expected


def test_other_tanks_and_the_other_side_of_a_divider_are_other_water():
    assert together(place(HE, 0, None), place(SHE, 0, None, tank=8)) == []
    assert together(place(HE, 0, None, side="left"), place(SHE, 0, None, side="right")) == []
    assert together(place(HE, 0, None, side="left"), place(SHE, 0, None, side="left")) == [
        (0, None)
    ]
    # On record in the whole tank while it is divided: nothing keeps them apart.
    assert together(place(HE, 0, None), place(SHE, 0, None, side="right")) == [(0, None)]


def test_stretches_stand_by_their_first_day_and_then_by_who_met_whom():
    places = [place(1, 5, 9, 8), place(4, 5, 9, 8), place(2, 0, 9), place(3, 0, 9), place(1, 0, 3)]
    found = shared_stretches(places, [1, 2], [3, 4])
    assert [(one.one, one.other, one.tank, one.first) for one in found] == [
        (1, 3, 9, day(0)),
        (2, 3, 9, day(0)),
        (1, 4, 8, day(5)),
    ]


def test_one_of_several_that_left_does_not_take_the_others_along():
    third = place(3, 0, 2)
    assert together(third, place(HE, 0, 30), place(SHE, 5, 10)) == [(5, 10)]
    assert together(place(HE, 0, None), place(3, 1, 20), place(SHE, 5, None)) == [(5, None)]


@pytest.mark.parametrize(
    ("his", "hers", "is_shared"),
    [
        ((1, ""), (1, ""), True),
        ((1, ""), (2, ""), False),
        ((1, "left"), (1, "left"), True),
        ((1, "left"), (1, "right"), False),
        ((1, "left"), (1, ""), True),
        ((1, ""), (1, "right"), True),
        ((1, "left"), (2, "left"), False),
    ],
)
def test_one_water_is_one_tank_without_a_closed_divider_between(his, hers, is_shared):
    one, other = (Stay(tank_id=tank, side=side) for tank, side in (his, hers))
    assert share_water(one, other) is is_shared


stays = st.builds(
    lambda animal, tank, since, long: place(animal, since, since + long, tank),
    st.integers(1, 4),
    st.integers(1, 2),
    st.integers(0, 30),
    st.integers(1, 12),
)


@settings(deadline=None, max_examples=tries(100))
@given(st.lists(stays, max_size=12))
def test_the_sweep_says_what_day_by_day_counting_says(places):
    """Own arithmetic: a night in one tank is shared when both were there that night."""

    def nights(place):
        return {
            place.since + datetime.timedelta(days=n)
            for n in range((place.until - place.since).days)
        }

    by_hand = {
        (one.animal, other.animal, one.tank, night)
        for one in places
        for other in places
        if one.animal in (1, 2) and other.animal in (3, 4) and one.tank == other.tank
        for night in nights(one) & nights(other)
    }
    found = {
        (one.one, one.other, one.tank, one.first + datetime.timedelta(days=n))
        for one in shared_stretches(places, [1, 2], [3, 4])
        for n in range((one.last - one.first).days)
    }
    assert found == by_hand


@pytest.mark.django_db
class TestFromTheRows:
    def stretches(self, mira):
        places = places_beside([mira.pk], "M")
        found = shared_stretches(places, [mira.pk], {one.animal for one in places} - {mira.pk})
        return [(f"{one.first}", one.last and f"{one.last}") for one in found]

    def test_a_closed_divider_parts_them_and_an_opened_one_does_not(self):
        tank = Tank.objects.create(name="Boathouse pool", can_divide=True)
        mira, deneb = cast.female("Mira"), cast.male("Deneb")
        for animal in (mira, deneb):
            move_animal(animal, tank, on=cast.day("2026-03-01"), by=None)
        close_divider(tank, left=[mira], right=[deneb], on=cast.day("2026-03-10"), by=None)
        open_divider(tank, on=cast.day("2026-03-20"), by=None)
        assert self.stretches(mira) == [("2026-03-01", "2026-03-10"), ("2026-03-20", None)]

    def test_one_that_died_keeps_nobody_company_afterwards(self):
        tank = Tank.objects.create(name="Boathouse pool")
        mira, deneb = cast.female("Mira"), cast.male("Deneb")
        for animal in (mira, deneb):
            move_animal(animal, tank, on=cast.day("2026-03-01"), by=None)
        change_state(deneb, state="died", on=cast.day("2026-03-15"))
        assert self.stretches(mira) == [("2026-03-01", "2026-03-15")]

    @pytest.mark.parametrize(
        ("state", "state_on", "until"),
        [
            ("died", "2026-03-15", "2026-03-15"),
            ("left", "2026-03-15", "2026-03-15"),
            ("left", None, "2026-03-01"),  # nobody knows when: counted for the day it came
            ("died", "2026-02-20", "2026-03-01"),  # no stay ends before it began
            ("here", None, None),
        ],
    )
    def test_a_stay_left_open_ends_with_the_animal(self, state, state_on, until):
        deneb = cast.male("Deneb")
        tank = Tank.objects.create(name="Boathouse pool")
        move_animal(deneb, tank, on=cast.day("2026-03-01"), by=None)
        Animal.objects.filter(pk=deneb.pk).update(
            state=state, state_on=state_on and cast.day(state_on)
        )
        (found,) = places_beside([deneb.pk], "M")
        assert found == BareStay(
            deneb.pk, tank.pk, "", cast.day("2026-03-01"), until and cast.day(until)
        )

    def test_a_stay_that_ended_before_its_animal_keeps_its_end(self):
        deneb = cast.male("Deneb")
        tank = Tank.objects.create(name="Boathouse pool")
        move_animal(deneb, tank, on=cast.day("2026-03-01"), by=None)
        move_animal(deneb, None, on=cast.day("2026-03-05"), by=None)
        change_state(deneb, state="died", on=cast.day("2026-03-15"))
        (found,) = places_beside([deneb.pk], "M")
        assert found.until == cast.day("2026-03-05")

    def test_all_stays_are_read_in_one_query(self, django_assert_num_queries):
        tank = Tank.objects.create(name="Boathouse pool")
        rays = [cast.ray(f"Star {number}", "FM"[number % 2]) for number in range(10)]
        for animal in rays:
            move_animal(animal, tank, on=cast.day("2026-03-01"), by=None)
        with django_assert_num_queries(1):
            assert len(places_beside([rays[0].pk], "M")) == 6  # herself and five males
