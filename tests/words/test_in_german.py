"""What the lowest room says in German: days, distances, figures, clock times, lists."""

import datetime
from fractions import Fraction

import pytest
from django.utils import translation

from breeding.words import chances, clock, days, food, months, numbers, sizes
from breeding.words.descent import diversity
from breeding.words.descent.ancestry import known_words
from breeding.words.descent.kin import closeness
from breeding.words.descent.through.reasons import reason_sentences
from breeding.words.descent.who import Who
from breeding.words.language import tell
from breeding.words.plans import bottleneck_words
from breeding.words.style import PAGE
from pedigree import KnownAncestors, Pedigree, explain
from pedigree.plans.collisions import Bottleneck

MARCH = datetime.date(2026, 3, 3)  # a Tuesday
AUGUST = datetime.date(2026, 8, 1)


@pytest.fixture(autouse=True)
def _in_german():
    with translation.override("de"):
        yield


def test_days_have_their_point_and_their_comma():
    assert days.plain_day(MARCH) == "Di., 3. März 2026"
    assert days.long_day(AUGUST) == "1. August 2026"
    assert days.short_day(AUGUST, MARCH) == "1. Aug."
    assert days.heading_day(MARCH) == "Dienstag, 3. März"
    assert days.born_words(MARCH, "month") == "März 2026"
    assert days.moment_words(datetime.datetime(2026, 3, 3, 14, 2)) == "Di., 3. März 2026, 14:02"


@pytest.mark.parametrize(
    ("away", "said"),
    [
        (0, "heute"),
        (-1, "gestern"),
        (12, "in 12 Tagen"),
        (-12, "vor 12 Tagen"),
        (150, "in 5 Monaten"),
        (-61 * 12, "vor 2 Jahren"),
    ],
)
def test_distances_bend_their_noun(away, said):
    assert days.distance(MARCH + datetime.timedelta(days=away), MARCH) == said


def test_a_stretch_is_not_bent():
    assert days.stretch(MARCH, AUGUST) == "5 Monate"


@pytest.mark.parametrize(
    ("last", "said"),
    [
        ("2026-08-30", "1. bis 30. August 2026"),
        ("2026-09-03", "1. August bis 3. September 2026"),
        ("2027-01-03", "1. August 2026 bis 3. Januar 2027"),
    ],
)
def test_a_span_says_once_what_both_days_have_in_common(last, said):
    assert days.span_words(AUGUST, datetime.date.fromisoformat(last)) == said


def test_figures_have_a_decimal_comma_and_a_point_between_thousands():
    assert numbers.percent(Fraction(3, 16)) == "18,75 %"
    assert numbers.percent(1e-6) == "weniger als 0,01 %"
    assert diversity.diversity_figure(0.944) == "94,40"
    assert numbers.spelled(12_000) == "12.000"
    assert sizes.length(382, "cm") == "38,2 cm"
    assert sizes.weight(1240, "g") == "1,24 kg"
    assert food.food_amount(1500, "g") == "1.500 g"
    assert chances.pregnancy(0.94) == "wahrscheinlich trächtig, 94 %"


def test_lists_and_what_is_left_out_of_them():
    assert numbers.joined(["Rigel", "Spica", "Mizar"]) == "Rigel, Spica und Mizar"
    assert numbers.joined(["Rigel", "Spica"], "or") == "Rigel oder Spica"
    assert numbers.some(["A", "B", "C", "D"], 2) == "A, B und 2 weitere"


def test_a_clock_goes_by_24_hours_unless_somebody_chose_12():
    at = datetime.time(14, 5)
    assert clock.clock_time(at) == "14:05"
    with clock.clock_of("12"):
        assert clock.clock_time(at) == "2:05 PM"


def test_a_week_begins_on_monday():
    assert months.week_begins(datetime.date(2026, 3, 8)) == datetime.date(2026, 3, 2)


def test_what_an_inbreeding_coefficient_means_is_one_sentence():
    ped = Pedigree.from_rows(
        [("a", None, None), ("d1", None, None), ("s", "a", "d1"), ("d", "a", None)]
    )
    why = explain(ped, "s", "d")
    assert reason_sentences(why, {"a": Who("Altair", "M")}, PAGE) == (
        "Altair ist Vater beider Eltern (12,5 %).",
    )
    assert closeness(Fraction(1, 8)) == "so nah wie Halbgeschwister"


def test_known_ancestry_has_its_plural():
    known = [KnownAncestors(1, Fraction(2), 2), KnownAncestors(2, Fraction(1), 4)]
    assert known_words(known) == "3 von 6 möglichen Vorfahren in zwei Generationen"
    assert known_words(known[:1]) == "2 von 2 möglichen Vorfahren in einer Generation"


def test_why_there_is_no_plan_is_said_as_clauses_of_a_german_sentence():
    found = Bottleneck(2, (("male", 1, ("Altair", "Deneb")),), 0)
    assert bottleneck_words(found) == (
        "Damit bleiben höchstens 2 Würfe: je 1 Wurf von Altair und Deneb."
    )


def test_a_sentence_that_ends_with_a_month_cut_short_has_one_full_stop():
    day = days.short_day(datetime.date(2026, 12, 18), datetime.date(2026, 11, 30))
    assert day == "18. Dez."
    assert tell("Planned already, from {day}.", day=day) == "Schon geplant, ab 18. Dez."
    assert tell("{what} and more", what="Pup..") == "Pup.. and more"
    assert tell("{what}.", what="and so on..") == "and so on..."
