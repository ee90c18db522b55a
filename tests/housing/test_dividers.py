"""Closing and opening a divider, sides, and moving everybody of a tank."""

import pytest
from django.core.exceptions import ValidationError

from breeding.animals.services import change_state
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import (
    companions,
    free_tanks,
    places,
    tank_is_free,
    tanks_with_animals,
)
from breeding.housing.services import close_divider, move_animal, move_everybody, open_divider
from tests import cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def pool():
    return Tank.objects.create(name="Pool", can_divide=True)


@pytest.fixture
def bay():
    return Tank.objects.create(name="Bay")


def put(animal, tank, on="2026-03-01", side=""):
    return move_animal(animal, tank, on=cast.day(on), by=None, side=side)


def close(tank, left, right, on="2026-03-10"):
    return close_divider(tank, left=left, right=right, on=cast.day(on), by=None)


def stays(animal):
    found = Stay.objects.filter(animal=animal).order_by("since", "pk")
    return [(one.place, f"{one.since}", one.until and f"{one.until}") for one in found]


def said(act, *args, **kwargs):
    with pytest.raises(ValidationError) as problem:
        act(*args, **kwargs)
    return " ".join(problem.value.messages)


def test_closing_the_divider_ends_the_stays_and_opens_new_ones_with_sides(pool):
    mira, deneb = cast.female(), cast.male()
    put(mira, pool)
    put(deneb, pool)
    close(pool, [mira], [deneb])
    assert stays(mira) == [
        ("Pool", "2026-03-01", "2026-03-10"),
        ("Pool, left side", "2026-03-10", None),
    ]
    assert stays(deneb)[1] == ("Pool, right side", "2026-03-10", None)
    assert companions(mira) == []


def test_opening_it_again_puts_both_sides_together(pool):
    mira, deneb = cast.female(), cast.male()
    put(mira, pool)
    put(deneb, pool)
    close(pool, [mira], [deneb])
    open_divider(pool, on=cast.day("2026-03-20"), by=None)
    assert stays(mira)[1:] == [
        ("Pool, left side", "2026-03-10", "2026-03-20"),
        ("Pool", "2026-03-20", None),
    ]
    assert companions(mira) == [deneb]
    assert "is not closed on 21 March 2026" in said(
        open_divider, pool, on=cast.day("2026-03-21"), by=None
    )


def test_a_divider_closed_late_on_paper_holds_until_she_was_moved(pool, bay):
    mira, deneb = cast.female(), cast.male()
    put(mira, pool)
    put(deneb, pool)
    put(mira, bay, "2026-03-20")
    close(pool, [mira], [deneb], "2026-03-10")
    assert stays(mira) == [
        ("Pool", "2026-03-01", "2026-03-10"),
        ("Pool, left side", "2026-03-10", "2026-03-20"),
        ("Bay", "2026-03-20", None),
    ]


def test_closing_a_divider_says_what_is_wrong_and_moves_nobody(pool, bay):
    mira, deneb, vega = cast.female(), cast.male(), cast.female("Vega")
    assert "there is nobody to part" in said(close, pool, [], [])
    put(mira, pool)
    put(deneb, pool)
    put(vega, bay)
    assert "On which side is Deneb?" in said(close, pool, [mira], [])
    assert "Deneb cannot be on both sides" in said(close, pool, [mira, deneb], [deneb])
    assert "Vega is not in Pool on 10 March 2026" in said(close, pool, [mira, deneb], [vega])
    assert "Bay has no divider" in said(close, bay, [vega], [])
    assert Stay.objects.exclude(side="").count() == 0
    close(pool, [mira], [deneb])
    assert "is closed on 11 March 2026 already" in said(close, pool, [mira], [deneb], "2026-03-11")


def test_a_side_needs_a_closed_divider(pool, bay):
    mira, deneb = cast.female(), cast.male()
    put(mira, pool)
    assert "The divider of Pool is open, with Mira inside" in said(put, deneb, pool, side="left")
    assert "Bay has no divider" in said(put, deneb, bay, side="left")
    assert "“top” is not a side" in said(put, deneb, pool, side="top")
    close(pool, [mira], [])
    put(deneb, pool, "2026-03-11", side="right")
    put(deneb, pool, "2026-03-12", side="left")
    assert companions(deneb) == [mira]


def test_one_whose_side_nobody_wrote_down_is_company_for_both(pool):
    mira, deneb, vega = cast.female(), cast.male(), cast.female("Vega")
    put(mira, pool, side="left")
    put(deneb, pool, side="right")
    put(vega, pool)
    assert companions(vega) == [deneb, mira]
    assert companions(mira) == [vega]


def test_the_places_to_choose_from_are_sides_only_where_they_are_real(pool, bay):
    assert [one.key for one in places(tanks_with_animals())] == [
        f"{bay.pk}",
        f"{pool.pk}",
        f"{pool.pk}:left",
        f"{pool.pk}:right",
    ]
    mira = cast.female()
    put(mira, pool)
    assert [str(one) for one in places(tanks_with_animals())] == ["Bay", "Pool"]
    close(pool, [mira], [])
    assert [str(one) for one in places(tanks_with_animals())] == [
        "Bay",
        "Pool, left side",
        "Pool, right side",
    ]


def test_everybody_moves_at_once_or_nobody(pool, bay):
    mira, deneb, vega = cast.female(), cast.male(), cast.female("Vega")
    put(mira, pool)
    put(deneb, pool)
    put(vega, pool, "2026-03-20")
    move_everybody(pool, bay, on=cast.day("2026-03-10"), by=None)
    assert stays(mira)[1] == ("Bay", "2026-03-10", None)
    assert companions(mira) == [deneb]
    assert stays(vega) == [("Pool", "2026-03-20", None)]  # came later
    assert "They are already in Bay" in said(
        move_everybody, bay, bay, on=cast.day("2026-03-21"), by=None
    )
    assert "Nobody is in Pool on 11 March 2026" in said(
        move_everybody, pool, bay, on=cast.day("2026-03-11"), by=None
    )
    move_everybody(bay, pool, on=cast.day("2026-04-01"), by=None, side="")
    assert companions(vega) == [deneb, mira]


def test_a_tank_is_free_when_nobody_was_in_it_at_the_end_of_that_day(pool, bay):
    mira = cast.female()
    put(mira, pool, "2026-03-05")
    put(mira, bay, "2026-03-09")
    days = ["2026-03-04", "2026-03-05", "2026-03-08", "2026-03-09", "2026-03-30"]
    assert [tank_is_free(pool, cast.day(on)) for on in days] == [True, False, False, True, True]
    assert free_tanks(cast.day("2026-03-08")) == [bay]
    change_state(mira, state="died", on=cast.day("2026-03-12"))
    assert free_tanks(cast.day("2026-03-11")) == [pool]
    assert free_tanks(cast.day("2026-03-12")) == [bay, pool]
