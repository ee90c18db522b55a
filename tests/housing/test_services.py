"""Moving an animal: one act, and what it refuses says why."""

import itertools

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from breeding.animals.services import change_state
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import companions, in_no_tank, where_are
from breeding.housing.services import move_animal
from tests import cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def pool():
    return Tank.objects.create(name="Boathouse pool")


@pytest.fixture
def bay():
    return Tank.objects.create(name="Nursery bay", kind="nursery")


def move(animal, tank, on="2026-03-01", by=None):
    return move_animal(animal, tank, on=cast.day(on), by=by)


def stays(animal):
    found = Stay.objects.filter(animal=animal).order_by("since", "pk")
    return [(stay.tank.name, f"{stay.since}", stay.until and f"{stay.until}") for stay in found]


def test_a_move_closes_the_old_stay_on_the_day_the_new_one_begins(keeper, pool, bay):
    mira = cast.female()
    move(mira, pool, "2026-03-01")
    stay = move(mira, bay, "2026-03-09", by=keeper)
    assert stays(mira) == [
        ("Boathouse pool", "2026-03-01", "2026-03-09"),
        ("Nursery bay", "2026-03-09", None),
    ]
    assert stay.recorded_by == keeper


def test_moving_to_no_tank_closes_the_stay(pool):
    mira = cast.female()
    move(mira, pool)
    assert move(mira, None, "2026-03-05") is None
    assert stays(mira) == [("Boathouse pool", "2026-03-01", "2026-03-05")]
    assert where_are([mira]) == {}


def refusal(*args, **kwargs):
    with pytest.raises(ValidationError) as problem:
        move(*args, **kwargs)
    return problem.value


def test_nobody_moves_before_its_birth(pool):
    mira = cast.female(born_on=cast.day("2026-02-10"))
    assert refusal(mira, pool, "2026-02-09").message_dict == {
        "on": ["Mira was born 10 February 2026, after 9 February 2026; choose a later day."]
    }


def test_a_move_entered_late_lasts_until_the_next_move_on_record(pool, bay):
    mira = cast.female()
    move(mira, pool, "2026-03-10")
    move(mira, bay, "2026-03-04")
    assert stays(mira) == [
        ("Nursery bay", "2026-03-04", "2026-03-10"),
        ("Boathouse pool", "2026-03-10", None),
    ]


def test_a_move_entered_late_lasts_until_it_left_all_tanks(pool, bay):
    mira = cast.female()
    move(mira, pool, "2026-03-01")
    move(mira, None, "2026-03-20")
    move(mira, bay, "2026-03-10")
    assert stays(mira) == [
        ("Boathouse pool", "2026-03-01", "2026-03-10"),
        ("Nursery bay", "2026-03-10", "2026-03-20"),
    ]


def test_moves_give_the_same_stays_in_whatever_order_they_are_entered(pool, bay):
    loft, pond = (Tank.objects.create(name=name) for name in ("Loft", "Pond"))
    moves = [(pool, "2026-03-01"), (loft, "2026-03-05"), (pond, "2026-03-09"), (bay, "2026-03-12")]
    found = []
    for number, order in enumerate(itertools.permutations(moves)):
        ray = cast.ray(f"Star {number}")
        for tank, on in order:
            move(ray, tank, on)
        found.append(stays(ray))
    assert found == 24 * [
        [
            ("Boathouse pool", "2026-03-01", "2026-03-05"),
            ("Loft", "2026-03-05", "2026-03-09"),
            ("Pond", "2026-03-09", "2026-03-12"),
            ("Nursery bay", "2026-03-12", None),
        ]
    ]


def test_one_that_was_moved_out_the_day_it_came_can_come_again_that_day(pool, bay):
    mira = cast.female()
    move(mira, pool)
    move(mira, None)
    move(mira, bay)
    assert stays(mira) == [
        ("Boathouse pool", "2026-03-01", "2026-03-01"),
        ("Nursery bay", "2026-03-01", None),
    ]


def test_nobody_moves_to_where_it_is(pool):
    mira = cast.female()
    move(mira, pool)
    assert refusal(mira, pool, "2026-03-09").message_dict == {
        "tank": ["Mira is already in Boathouse pool."]
    }
    assert refusal(cast.male(), None).message_dict == {"tank": ["Deneb is already in no tank."]}


def test_an_animal_that_is_gone_is_moved_to_no_tank_only(pool, bay):
    mira = cast.female()
    move(mira, pool)
    change_state(mira, state="died", on=cast.day("2026-03-04"))
    said = refusal(mira, bay, "2026-03-05").messages
    assert said == [
        "Mira died on 4 March 2026; only an animal that is here can be moved to a tank."
    ]
    move(mira, None, "2026-03-04")
    assert stays(mira) == [("Boathouse pool", "2026-03-01", "2026-03-04")]


def test_one_that_died_is_in_no_tank_though_nobody_moved_it_out(pool):
    mira, deneb = cast.female(), cast.male()
    move(mira, pool)
    move(deneb, pool)
    change_state(mira, state="died", on=cast.day("2026-03-04"))
    assert set(where_are([mira, deneb])) == {deneb.pk}
    assert companions(deneb) == []
    stay = Stay.objects.select_related("animal").get(animal=mira)
    assert stay.ended_on == cast.day("2026-03-04")


def test_two_moves_at_the_same_moment_leave_one_open_stay(pool, bay, monkeypatch):
    mira = cast.female()
    move(mira, pool)
    monkeypatch.setattr(
        "breeding.housing.stays.placing._locked", lambda keys: {key: {} for key in keys}
    )  # as seen by somebody who looked before the other's move
    assert "moved by somebody else" in refusal(mira, bay).messages[0]
    with pytest.raises(IntegrityError):
        Stay.objects.create(animal=mira, tank=bay, since=cast.day("2026-03-01"))


def test_where_many_are_is_one_query(pool, django_assert_num_queries):
    rays = [cast.ray(f"Star {n}") for n in range(12)]
    for one in rays[:10]:
        move(one, pool)
    with django_assert_num_queries(1):
        found = where_are(rays)
        assert {found[one.pk].tank.name for one in rays[:10]} == {"Boathouse pool"}
    assert len(found) == 10
    assert [one.call_name for one in in_no_tank()] == ["Star 10", "Star 11"]


def test_companions_are_the_others_in_its_tank_now(pool, bay):
    mira, deneb, vega, altair = (cast.ray(name) for name in ("Mira", "Deneb", "Vega", "Altair"))
    for one in (mira, deneb, vega):
        move(one, pool)
    move(altair, bay)
    move(vega, bay, "2026-03-02")
    assert companions(mira) == [deneb]
    assert companions(altair) == [vega]
    assert companions(cast.ray("Izar")) == []


def test_more_water_than_a_tank_holds_is_refused():
    tank = Tank(name="Small", length_mm=1000, width_mm=500, height_mm=500, volume_litres=1200)
    with pytest.raises(ValidationError) as problem:
        tank.full_clean()
    assert problem.value.message_dict == {
        "volume_litres": [
            "1,200 litres do not go into this tank: its sides hold 250 litres to the brim."
        ]
    }
