"""Whether a pH is fit: for whom, by what the water has been, and by how fast it changed."""

import datetime

import pytest

from breeding.housing.models import Stay, Tank, WaterTest
from breeding.housing.water.fit import Range, Reading
from breeding.housing.water.ph import judge_ph
from breeding.housing.water.queries import default_ranges, ph_rules, water_fit
from tests import cast

TODAY = cast.day("2026-03-20")
SINCE = cast.day("2026-03-17")
USUAL = {"": Range("ph", 6.0, 7.8, "common practice")}
one_database = pytest.mark.one_database("a figure and its words, nothing kept")


def judged(*read, wanted=None, **more):
    """Of readings as (day of March 2026, pH), oldest first."""
    readings = [Reading("ph", value, cast.day(f"2026-03-{day:02}")) for day, value in read]
    return judge_ph(readings, wanted or USUAL, ph_rules(), since=SINCE, **more)


@one_database
def test_the_usual_range_is_from_6_to_7_point_8():
    usual = default_ranges()["ph"]
    assert (usual.least, usual.most) == (6.0, 7.8)
    assert judged((20, 6.0)).wrong == judged((20, 7.8)).wrong == ()
    assert judged((20, 5.9)).wrong == ("pH 5.9 (allowed 6 to 7.8)",)


@one_database
@pytest.mark.parametrize(
    ("before", "after", "how"),
    [
        ((19, 7.4), (20, 7.0), "pH fell from 7.4 to 7 in 1 day"),
        ((20, 6.8), (20, 7.2), "pH rose from 6.8 to 7.2 within a day"),
        ((17, 6.4), (20, 7.4), "pH rose from 6.4 to 7.4 in 3 days"),
    ],
)
def test_a_change_of_more_than_0_3_a_day_is_not_fit_though_both_ends_are(before, after, how):
    assert judged(before, after).wrong == (
        f"{how} (no more than 0.3 a day; common practice, no source)",
    )


@one_database
@pytest.mark.parametrize(
    ("before", "after"), [((19, 7.4), (20, 7.1)), ((17, 6.4), (20, 7.3)), ((1, 6.2), (20, 7.6))]
)
def test_a_change_of_no_more_than_0_3_a_day_is_fit(before, after):
    assert judged(before, after).wrong == ()


@one_database
def test_many_small_steps_of_one_day_are_one_change():
    assert judged((20, 6.6), (20, 6.8), (20, 7.0)).wrong[0].startswith("pH rose from 6.6 to 7 ")


@one_database
def test_a_change_that_ended_before_the_days_that_count_is_over():
    assert judged((10, 6.4), (11, 7.2), (20, 7.2)).wrong == ()


@one_database
def test_a_water_that_has_long_been_outside_is_fit_and_it_is_said_why():
    found = judged((1, 8.0), (10, 8.1), (20, 8.0))
    assert found.wrong == ()
    assert found.note == (
        "pH 8 is outside 6 to 7.8, but this water has been at 8 to 8.1 in 3 tests since 1 March "
        "2026, and rays have been bred at 4.1 to 8.2 (keepers' records): do not change it fast."
    )


@one_database
@pytest.mark.parametrize(
    "read",
    [
        [(10, 8.0), (20, 8.0)],  # two tests
        [(10, 8.0), (15, 8.0), (20, 8.0)],  # ten days
        [(1, 7.0), (10, 8.0), (20, 8.0)],  # it was otherwise before
        [(1, 8.4), (10, 8.4), (20, 8.4)],  # nobody has bred rays there
    ],
)
def test_without_a_long_steady_past_what_is_outside_is_not_fit(read):
    found = judged(*read)
    assert found.wrong == (f"pH {read[-1][1]:g} (allowed 6 to 7.8)",)
    assert found.note == ""


@one_database
def test_a_range_that_the_program_chose_holds_whatever_the_past():
    found = judged((1, 8.0), (10, 8.0), (20, 8.0), may_be_used_to_it=False)
    assert found.wrong == ("pH 8 (allowed 6 to 7.8)",)


@one_database
def test_of_two_kinds_in_one_water_each_is_asked():
    wanted = USUAL | {"P. wallacei": Range("ph", 4.0, 7.8, "assumption")}
    assert judged((20, 4.5), wanted=wanted).wrong == ("pH 4.5 (allowed 6 to 7.8)",)
    assert judged((20, 3.9), wanted=wanted).wrong == (
        "pH 3.9 (allowed 6 to 7.8)",
        "pH 3.9 (allowed 4 to 7.8 for P. wallacei)",
    )


@pytest.mark.django_db
@pytest.mark.parametrize(("pure", "is_fit"), [("wallacei", True), ("motoro", False)])
def test_the_species_in_the_tank_decides(owner, pure, is_fit):
    """Black water of pH 4.5: assumed fit for P. wallacei, not for P. motoro."""
    tank = Tank.objects.create(name="Black water")
    Stay.objects.create(animal=cast.female(pure=pure), tank=tank, since=cast.day("2026-01-01"))
    WaterTest.objects.create(
        tank=tank,
        tested_at=datetime.datetime(2026, 3, 20, 6, tzinfo=datetime.UTC),
        temperature_c=27,
        ph="4.5",
        ammonia_mg_l=0,
        nitrite_mg_l=0,
    )
    assert water_fit(tank, TODAY).fit is is_fit
