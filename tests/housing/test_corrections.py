"""Old news and mended mistakes: stays make room or say what is in the way, and nothing is lost."""

import datetime

import pytest
from django.core.exceptions import ValidationError
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from breeding.animals.services import change_state
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import stays_of
from breeding.housing.services import move_animal
from breeding.housing.stays.corrections import correct_stay, record_earlier_stay, withdraw_stay
from breeding.housing.stays.timeline import Spell
from tests import cast
from tests.tries import tries

pytestmark = pytest.mark.django_db
NOW = datetime.datetime(2026, 4, 5, 9, 0, tzinfo=datetime.UTC)


@pytest.fixture
def tanks():
    return [Tank.objects.create(name=f"Tank {number}") for number in range(1, 5)]


def put(animal, tank, on):
    return move_animal(animal, tank, on=cast.day(on), by=None)


def earlier(animal, tank, since, until):
    return record_earlier_stay(animal, tank, since=cast.day(since), until=cast.day(until), by=None)


def correct(stay, since, until=None, reason="read it wrong", **more):
    return correct_stay(
        stay,
        since=cast.day(since),
        until=until and cast.day(until),
        reason=reason,
        by=None,
        now=NOW,
        **more,
    )


def stays(animal):
    found = stays_of([animal])[animal.pk]
    return [(one.tank.name, f"{one.since}", one.until and f"{one.until}") for one in found]


def stay_in(animal, tank):
    return Stay.objects.get(animal=animal, tank=tank)


def said(act, *args, **kwargs):
    with pytest.raises(ValidationError) as problem:
        act(*args, **kwargs)
    return " ".join(problem.value.messages)


def test_old_news_splits_the_stay_it_lies_in(tanks):
    mira = cast.female()
    put(mira, tanks[0], "2026-02-01")
    earlier(mira, tanks[2], "2026-03-01", "2026-03-10")
    assert stays(mira) == [
        ("Tank 1", "2026-02-01", "2026-03-01"),
        ("Tank 3", "2026-03-01", "2026-03-10"),
        ("Tank 1", "2026-03-10", None),
    ]


def test_old_news_cuts_the_stays_it_reaches_into(tanks):
    mira = cast.female()
    put(mira, tanks[0], "2026-02-01")
    put(mira, tanks[1], "2026-03-05")
    earlier(mira, tanks[2], "2026-03-01", "2026-03-10")
    assert stays(mira) == [
        ("Tank 1", "2026-02-01", "2026-03-01"),
        ("Tank 3", "2026-03-01", "2026-03-10"),
        ("Tank 2", "2026-03-10", None),
    ]


def test_old_news_over_a_whole_stay_says_which_and_changes_nothing(tanks):
    mira = cast.female()
    put(mira, tanks[0], "2026-02-01")
    put(mira, tanks[1], "2026-03-03")
    put(mira, tanks[0], "2026-03-05")
    before = stays(mira)
    assert said(earlier, mira, tanks[2], "2026-03-01", "2026-03-10") == (
        "In the way: Mira is on record in Tank 2 from 3 March 2026 to 5 March 2026. Correct or "
        "withdraw that stay first."
    )
    assert stays(mira) == before


def test_old_news_before_anything_else_just_stands(tanks):
    mira = cast.female(born_on=cast.day("2025-01-01"), born_precision="day")
    put(mira, tanks[0], "2026-02-01")
    earlier(mira, tanks[2], "2025-03-01", "2025-03-10")
    assert stays(mira)[0] == ("Tank 3", "2025-03-01", "2025-03-10")
    assert "was born 1 January 2025" in said(earlier, mira, tanks[2], "2024-12-01", "2024-12-10")
    assert "10 March 2025 is before 12 March 2025" in said(
        earlier, mira, tanks[2], "2025-03-12", "2025-03-10"
    )


def test_old_news_of_one_that_died_ends_by_its_death(tanks):
    mira = cast.female()
    put(mira, tanks[0], "2026-02-01")
    change_state(mira, state="died", on=cast.day("2026-03-20"))
    earlier(mira, tanks[2], "2026-03-01", "2026-03-10")
    assert stays(mira)[1] == ("Tank 3", "2026-03-01", "2026-03-10")
    assert "Mira died on 20 March 2026, before 25 March 2026" in said(
        earlier, mira, tanks[2], "2026-03-12", "2026-03-25"
    )


def test_a_corrected_stay_is_kept_with_its_reason_and_neighbours_follow(tanks, keeper):
    mira = cast.female()
    put(mira, tanks[0], "2026-02-01")
    old = put(mira, tanks[1], "2026-03-05")
    correct_stay(
        old, since=cast.day("2026-03-02"), until=None, reason="Sam saw it", by=keeper, now=NOW
    )
    assert stays(mira) == [
        ("Tank 1", "2026-02-01", "2026-03-02"),
        ("Tank 2", "2026-03-02", None),
    ]
    kept = Stay.every.filter(withdrawn_at__isnull=False).order_by("since")
    assert [(str(one.tank), f"{one.since}", one.withdrawn_reason) for one in kept] == [
        ("Tank 1", "2026-02-01", "follows a correction: Sam saw it"),
        ("Tank 2", "2026-03-05", "Sam saw it"),
    ]
    assert {one.withdrawn_by for one in kept} == {keeper}


def test_a_corrected_end_moves_the_next_stay_along(tanks):
    mira = cast.female()
    first = put(mira, tanks[0], "2026-02-01")
    put(mira, tanks[1], "2026-03-05")
    correct(first, "2026-02-01", "2026-03-08")
    assert stays(mira) == [
        ("Tank 1", "2026-02-01", "2026-03-08"),
        ("Tank 2", "2026-03-08", None),
    ]


def test_a_corrected_tank_and_side(tanks):
    mira = cast.female()
    tanks[3].can_divide = True
    tanks[3].save()
    old = put(mira, tanks[0], "2026-02-01")
    new = correct(old, "2026-02-01", tank=tanks[3], side="left")
    assert new.place == "Tank 4, left side"


def test_a_correction_that_does_not_fit_names_what_is_in_the_way_and_changes_nothing(tanks):
    mira = cast.female()
    first = put(mira, tanks[0], "2026-02-01")
    put(mira, tanks[1], "2026-03-05")
    third = put(mira, tanks[2], "2026-03-10")
    before = stays(mira)
    assert "Mira is on record in Tank 2 from 5 March 2026 to 10 March 2026" in said(
        correct, first, "2026-02-01", "2026-03-12"
    )
    assert "Mira is on record in Tank 2" in said(correct, third, "2026-03-04")
    assert "Mira is on record in Tank 2" in said(
        correct, third, "2026-03-08", neighbours_follow=False
    )
    assert "Mira is on record in Tank 2" in said(correct, first, "2026-02-01", None)
    assert "Say why it is withdrawn" in said(correct, third, "2026-03-11", reason=" ")
    assert "Nothing is different" in said(correct, third, "2026-03-10")
    assert stays(mira) == before
    assert Stay.every.count() == 3


def test_a_stay_is_corrected_once(tanks):
    mira = cast.female()
    old = put(mira, tanks[0], "2026-02-01")
    correct(old, "2026-02-03")
    assert "withdrawn or corrected already" in said(
        correct, Stay.every.get(pk=old.pk), "2026-02-04"
    )


def test_a_withdrawn_stay_lets_the_one_before_go_on(tanks):
    mira = cast.female()
    put(mira, tanks[0], "2026-02-01")
    wrong = put(mira, tanks[1], "2026-03-05")
    withdraw_stay(wrong, reason="it was Vega", by=None, now=NOW, back_to_previous=True)
    assert stays(mira) == [("Tank 1", "2026-02-01", None)]
    assert Stay.every.get(pk=wrong.pk).withdrawn_reason == "it was Vega"


def test_a_withdrawn_stay_leaves_a_gap_unless_told_otherwise(tanks):
    mira = cast.female()
    only = put(mira, tanks[0], "2026-02-01")
    assert "none can go on" in said(
        withdraw_stay, only, reason="it was Vega", by=None, now=NOW, back_to_previous=True
    )
    assert stays(mira) == [("Tank 1", "2026-02-01", None)]
    withdraw_stay(stay_in(mira, tanks[0]), reason="it was Vega", by=None, now=NOW)
    assert stays(mira) == []


def test_an_hour_elsewhere_on_the_day_of_a_move_came_before_the_tank_it_stayed_in(tanks):
    mira = cast.female()
    earlier(mira, tanks[0], "2026-03-01", "2026-03-05")
    wrong = put(mira, tanks[2], "2026-03-05")
    earlier(mira, tanks[1], "2026-03-05", "2026-03-05")
    withdraw_stay(wrong, reason="it was Vega", by=None, now=NOW, back_to_previous=True)
    assert stays(mira) == [
        ("Tank 1", "2026-03-01", "2026-03-05"),
        ("Tank 2", "2026-03-05", None),
    ]


def test_a_neighbour_moves_its_day_along_only_where_nobody_is_in_the_way(tanks):
    mira = cast.female()
    earlier(mira, tanks[3], "2026-03-02", "2026-03-05")
    put(mira, tanks[2], "2026-03-06")
    earlier(mira, tanks[0], "2026-03-07", "2026-03-10")
    before = stays(mira)
    first = Stay.objects.get(tank=tanks[2], until=cast.day("2026-03-07"))
    assert said(correct, first, "2026-03-01", "2026-03-02") == (
        "In the way: Mira is on record in Tank 4 from 2 March 2026 to 5 March 2026. Correct or "
        "withdraw that stay first."
    )
    assert stays(mira) == before


DAYS = st.integers(0, 40)
ACTS = st.lists(
    st.tuples(st.sampled_from(["move", "out", "earlier", "correct", "withdraw"]), DAYS, DAYS,
              st.integers(0, 3)),
    max_size=12,
)  # fmt: skip


@given(ACTS)
@settings(
    max_examples=tries(60),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
def test_whatever_is_entered_an_animal_is_never_in_two_places_at_once(tanks, acts):
    start = cast.day("2026-01-01")
    ray = cast.ray(f"Star {Stay.every.count()} {len(acts)} {abs(hash(tuple(acts)))}")
    for act, first, length, number in acts:
        since = start + datetime.timedelta(days=first)
        until = since + datetime.timedelta(days=length)
        on_record = Stay.objects.filter(animal=ray).order_by("pk")
        try:
            if act == "move":
                move_animal(ray, tanks[number], on=since, by=None)
            elif act == "out":
                move_animal(ray, None, on=since, by=None)
            elif act == "earlier":
                record_earlier_stay(ray, tanks[number], since=since, until=until, by=None)
            elif stay := on_record[number : number + 1].first():
                if act == "correct":
                    until = None if length % 5 == 0 else until
                    correct_stay(
                        stay, since=since, until=until, reason="so", by=None, now=NOW,
                        neighbours_follow=length % 2 == 0,
                    )  # fmt: skip
                else:
                    withdraw_stay(
                        stay, reason="so", by=None, now=NOW, back_to_previous=length % 2 == 0
                    )
        except ValidationError:
            pass
        spells = [
            Spell(one.since, one.until, (one.tank_id, one.side)) for one in stays_of([ray])[ray.pk]
        ]
        for position, one in enumerate(spells):
            assert not any(one.shares_time_with(other) for other in spells[position + 1 :]), spells
