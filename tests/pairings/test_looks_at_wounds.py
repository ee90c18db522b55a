"""What looks at marks add up to, and when harm stands on top: plain figures, no rows."""

import datetime
from types import SimpleNamespace

import pytest

from breeding.gestation.actions import Action
from breeding.pairings.care.severity import DEGREES, degree
from breeding.pairings.care.wounds import Wound, course_words, harm_of, wounds_among, wounds_of
from breeding.pairings.models import Sighting, SignKind
from tests import cast

TODAY = cast.day("2026-03-20")
BITES = SimpleNamespace(asks_severity=True, is_off_food=False)
FOLLOWING = SimpleNamespace(asks_severity=False, is_off_food=False)
OFF_FOOD = SimpleNamespace(asks_severity=False, is_off_food=True)


def seen(day, severity=None, kind=BITES, *, hour=12, pk=1, is_withdrawn=False):
    at = datetime.datetime.fromisoformat(f"2026-03-{day:02}T{hour:02}:00:00+00:00")
    return SimpleNamespace(
        seen_at=at, severity=severity, kind=kind, pk=pk, is_withdrawn=is_withdrawn
    )


def course(*looks):
    return course_words(wounds_among([seen(day, severity) for day, severity in looks]))


# ------------------------------------------------------------------------------------ the scale


def test_the_scale_counts_from_none_to_deep():
    assert [str(one) for one in DEGREES] == [
        "0, none",
        "1, light",
        "2, broken skin",
        "3, open",
        "4, deep",
    ]
    assert [degree(number) for number in range(5)] == list(DEGREES)
    assert degree(None) is None


# ------------------------------------------------------------------------------------ the looks


def test_a_look_is_whatever_rates_marks_or_should_have():
    unrated, rated_elsewhere = seen(1), seen(2, 2, FOLLOWING)
    others = [seen(3, None, FOLLOWING), seen(4, 3, is_withdrawn=True), seen(5, is_withdrawn=True)]
    found = wounds_among([*others, rated_elsewhere, unrated])
    assert found == [
        Wound(unrated, cast.day("2026-03-01"), None),
        Wound(rated_elsewhere, cast.day("2026-03-02"), DEGREES[2]),
    ]


def test_looks_of_one_moment_stand_as_they_were_written_down():
    later, earlier, first = seen(2, 1, pk=9), seen(2, 2, pk=8), seen(1, 3, pk=10)
    found = [one.sighting for one in wounds_among([later, first, earlier])]
    assert found == [first, earlier, later]


@pytest.mark.django_db
def test_of_all_that_was_seen_of_her_the_looks_at_marks_are_read(species_data):
    mira = cast.female("Mira", pure="motoro")
    for number, (key, severity) in enumerate(
        [("fresh_bite_marks", None), ("following", 2), ("following", None), ("healing_marks", 1)]
    ):
        Sighting.objects.create(
            female=mira,
            kind=SignKind.objects.get(key=key),
            seen_at=datetime.datetime(2026, 3, 1 + number, 12, tzinfo=datetime.UTC),
            severity=severity,
        )
    assert [one.degree and one.degree.number for one in wounds_of(mira)] == [None, 2, 1]


# ----------------------------------------------------------------------------------- the course


def test_one_rated_look_is_no_course():
    assert course() == course((1, 3)) == course((1, 3), (2, None)) == course((1, None)) == ""


def test_marks_that_heal_are_better_since():
    said = "Worst: 3, open on 2 March 2026; better since: 1, light on 9 March 2026."
    assert course((2, 3), (9, 1)) == said
    assert course((1, 2), (2, 3), (4, None), (9, 1), (10, None)) == said
    assert course((2, 3), (5, 0), (9, 1)) == said


def test_marks_that_got_worse_are_worst_at_the_last_look():
    said = "Worst at the last look: 3, open on 9 March 2026."
    assert course((1, 1), (9, 3)) == said
    assert course((1, 3), (2, 1), (9, 3)) == said  # as bad again: the last time counts
    assert course((1, 0), (9, 0)) == "Worst at the last look: 0, none on 9 March 2026."


def test_two_looks_alike_on_one_day_are_as_bad_as_then():
    assert course((9, 2), (9, 2)) == (
        "Worst: 2, broken skin on 9 March 2026; as bad as then: 2, broken skin on 9 March 2026."
    )


# ---------------------------------------------------------------------------------------- harm


def season(*sightings, actions=(), together_since=None, limit=3):
    return SimpleNamespace(
        actions=actions,
        together_since=together_since,
        asof=TODAY,
        sightings=sightings,
        off_food=[one.seen_at.date() for one in sightings if one.kind.is_off_food],
        rules=SimpleNamespace(severity_limit=limit),
    )


def test_what_calls_for_separation_comes_first_with_its_action():
    others = [Action(kind, TODAY, "due") for kind in ("separate_by", "watch_from")]
    now = Action("separate_now", TODAY, "Injury of severity 3, with the male.")
    found = harm_of(season(actions=(*others, now), together_since=cast.day("2026-03-01")))
    assert (found.reason, found.action, found.is_with_male) == (now.reason, now, True)
    assert harm_of(season(actions=tuple(others))) is None


def test_with_a_male_only_what_calls_for_separation_is_harm():
    assert harm_of(season(seen(20, 4), together_since=cast.day("2026-03-01"))) is None


@pytest.mark.parametrize(("day", "is_said"), [(20, True), (17, True), (16, False)])
def test_apart_from_males_wounds_of_three_days_are_looked_after(day, is_said):
    for sighting in (seen(day, 3), seen(day, kind=OFF_FOOD)):
        assert (harm_of(season(sighting)) is not None) is is_said


@pytest.mark.parametrize(
    ("severity", "limit", "is_said"),
    [(3, 3, True), (2, 3, False), (4, 4, True), (3, 4, False), (1, 1, True), (None, 1, False)],
)
def test_marks_count_from_the_programs_limit_on(severity, limit, is_said):
    assert (harm_of(season(seen(19, severity), limit=limit)) is not None) is is_said


def test_the_worst_and_among_those_alike_the_latest_is_named():
    looks = [seen(18, 3), seen(18, 4, hour=8), seen(19, 3)]
    assert harm_of(season(*looks)).reason == "Marks of severity 4 on 18 March 2026."
    looks = [seen(18, 4), seen(19, 4), seen(20, 3)]
    found = harm_of(season(*looks))
    assert found.reason == "Marks of severity 4 on 19 March 2026."
    assert not found.is_with_male
    assert found.action is None


def test_a_refused_meal_is_said_with_its_latest_day_and_beside_the_marks():
    meals = [seen(18, kind=OFF_FOOD), seen(19, kind=OFF_FOOD), seen(20, kind=FOLLOWING)]
    assert harm_of(season(*meals)).reason == "Off her food on 19 March 2026."
    assert harm_of(season(seen(18, 3), *meals)).reason == (
        "Marks of severity 3 on 18 March 2026. Off her food on 19 March 2026."
    )
    assert harm_of(season(seen(20, kind=FOLLOWING))) is None
    assert harm_of(season()) is None
