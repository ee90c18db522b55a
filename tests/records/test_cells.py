"""What single cells say, and what is refused."""

import datetime
from fractions import Fraction

import pytest
from django.core.exceptions import ValidationError

from breeding.records.incoming import cells

pytestmark = [
    pytest.mark.django_db,  # sizes are called as the program's species call them
    pytest.mark.one_database("how the text of a cell is read"),
]

TODAY = datetime.date(2026, 3, 1)


def read(typed, order=""):
    birth = cells.read_date(typed, order, today=TODAY)
    return (birth.on and birth.on.isoformat(), birth.precision)


@pytest.mark.parametrize(
    ("typed", "order", "on", "precision"),
    [
        ("2024-05-03", "", "2024-05-03", "day"),
        ("2024-5-3", "", "2024-05-03", "day"),
        ("2024-05-03 00:00:00", "", "2024-05-03", "day"),
        ("2024-05-03T00:00", "", "2024-05-03", "day"),
        ("3.5.2024", cells.DAY_FIRST, "2024-05-03", "day"),
        ("03/05/2024", cells.MONTH_FIRST, "2024-03-05", "day"),
        ("2024-05", "", "2024-05-01", "month"),
        ("05/2024", "", "2024-05-01", "month"),
        ("5.2024", "", "2024-05-01", "month"),
        ("3 May 2024", "", "2024-05-03", "day"),
        ("Sept 2024", "", "2024-09-01", "month"),
        ("2024", "", "2024-01-01", "year"),
        ("?", "", None, "unknown"),
        ("unknown", "", None, "unknown"),
        ("0", "", None, "unknown"),
    ],
)
def test_dates_are_read_as_exactly_as_they_are_written(typed, order, on, precision):
    assert read(typed, order) == (on, precision)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("2024-02-30", "not a day of the calendar"),
        ("31.4.2024", "not a day of the calendar"),
        ("3.5.24", "is not a date; write 2024-05-03"),
        ("spring", "is not a date"),
        ("2027-01-01", "still to come"),
        ("1066", "too long ago"),
        ("٢٠٢٤", "."),
        ("3 Ma 2024", "is not a date"),
    ],
)
def test_a_date_that_cannot_be_is_refused(typed, words):
    if words == ".":  # digits of another script: read or refused, never a crash
        assert read(typed)[1] == "year"
        return
    with pytest.raises(ValidationError, match=words):
        read(typed, cells.DAY_FIRST)


def test_the_order_of_dates_comes_from_the_whole_file():
    assert cells.order_of_dates([(2, "3.5.2024"), (3, "17.5.2024")]) == cells.DAY_FIRST
    assert cells.order_of_dates([(2, "3/5/2024"), (3, "5/17/2024")]) == cells.MONTH_FIRST
    assert cells.order_of_dates([(2, "2024-05-03"), (3, "4.4.2024"), (4, "May 2024")]) == ""


def test_an_order_that_nothing_tells_is_asked_for():
    with pytest.raises(ValidationError, match=r"“3/5/2024” \(line 2\) can be read day first or"):
        cells.order_of_dates([(2, "3/5/2024"), (3, "2024-05-03")])


def test_dates_in_two_ways_are_refused_with_both_lines():
    with pytest.raises(ValidationError, match="line 3 has the day first, line 2 the month"):
        cells.order_of_dates([(2, "5/17/2024"), (3, "17/5/2024")])


def test_parts_without_a_share_divide_what_is_left():
    parts = cells.read_shared("A:1/2|B|C")
    assert cells.filled_shares(parts) == [
        ("A", Fraction(1, 2)),
        ("B", Fraction(1, 4)),
        ("C", Fraction(1, 4)),
    ]


def test_a_name_with_a_colon_stays_one_name():
    assert cells.read_shared("S:1|T:1/2", {"S:1"}.__contains__) == [
        ("S:1", None),
        ("T", Fraction(1, 2)),
    ]


@pytest.mark.parametrize("typed", ["A:2/3|B:2/3", "A:1|B"])
def test_shares_over_one_are_refused(typed):
    with pytest.raises(ValidationError, match="together they are at most 1"):
        cells.filled_shares(cells.read_shared(typed))


@pytest.mark.parametrize(
    "typed", ["A:0|B", "A:2", "A:x|B", "|A", ":1/2", "A:1/0", "A:1e999999999|B"]
)
def test_a_list_that_is_none_is_refused(typed):
    with pytest.raises(ValidationError):
        cells.read_shared(typed)


@pytest.mark.parametrize(
    ("typed", "unit", "millimetres"),
    [
        ("38.2", "cm", 382),
        ("38,2", "cm", 382),
        ("15", "in", 381),
        ("382", "mm", 382),
        ("38.2 cm", "in", 382),
        ("15 in", "cm", 381),
    ],
)
def test_disc_widths_are_read_in_the_programs_unit_or_their_own(typed, unit, millimetres):
    assert cells.read_length(typed, unit) == millimetres


@pytest.mark.parametrize(
    ("typed", "unit", "grams"),
    [("450", "g", 450), ("1.24 kg", "g", 1240), ("16", "oz", 454), ("2 lb", "g", 907)],
)
def test_weights_are_read_in_the_programs_unit_or_their_own(typed, unit, grams):
    assert cells.read_weight(typed, unit) == grams


@pytest.mark.parametrize("typed", ["wide", "1.2.3", "-5", "1e9", "NaN", "9999999999999999", "5 m"])
def test_sizes_that_are_none_are_refused(typed):
    with pytest.raises(ValidationError):
        cells.read_length(typed, "cm")
    with pytest.raises(ValidationError):
        cells.read_weight(typed, "g")


def test_a_size_beyond_every_ray_is_refused_with_what_is_allowed():
    with pytest.raises(ValidationError, match="allowed is 1 to 300 cm"):
        cells.read_length("380", "cm")
    with pytest.raises(ValidationError, match="1 g to 300 kg"):
        cells.read_weight("0", "g")


def test_words_are_refused_with_those_allowed():
    assert cells.read_word(" Female ", cells.SEXES, what="sex") == "F"
    with pytest.raises(ValidationError, match="is no sex; write F, M or U"):
        cells.read_word("both", cells.SEXES, what="sex")
