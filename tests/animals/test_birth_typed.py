"""A birth date as people type it, no more exact than it is known."""

import datetime

import pytest
from django.core.exceptions import ValidationError
from django.utils import translation

from breeding.animals.models import Animal
from breeding.animals.typed.fields import Birth, BirthField, read_birth

pytestmark = pytest.mark.one_database("what a form cleans")
DAY, MONTH, YEAR = Animal.Precision.DAY, Animal.Precision.MONTH, Animal.Precision.YEAR


@pytest.mark.parametrize(
    ("typed", "on", "precision"),
    [
        ("2024-05-03", (2024, 5, 3), DAY),
        ("3.5.2024", (2024, 5, 3), DAY),
        ("03.05.2024", (2024, 5, 3), DAY),
        ("3. 5. 2024", (2024, 5, 3), DAY),
        ("2024-05", (2024, 5, 1), MONTH),
        ("5.2024", (2024, 5, 1), MONTH),
        ("2024", (2024, 1, 1), YEAR),
    ],
)
def test_with_points_the_day_stands_first(typed, on, precision):
    assert read_birth(typed) == Birth(datetime.date(*on), precision)


@pytest.mark.parametrize("typed", ["31.02.2026", "5/3/2024", "3.5.24", "3.5."])
def test_what_is_no_day_or_could_be_two_is_refused_by_name(typed):
    with pytest.raises(ValidationError, match=f"“{typed}” is not a "):
        read_birth(typed)


def test_a_refusal_quotes_as_its_reader_does():
    with translation.override("de"), pytest.raises(ValidationError, match="„bald“ ist kein"):
        read_birth("bald")


TODAY = datetime.date(2026, 11, 30)


def by_hand(typed):
    field = BirthField()
    field.today = TODAY
    return field.clean(typed)


@pytest.mark.parametrize(
    ("typed", "on", "precision"),
    [
        ("05/2024", (2024, 5, 1), "month"),
        ("5 / 2024", (2024, 5, 1), "month"),
        ("May 2024", (2024, 5, 1), "month"),
        ("Mai 2024", (2024, 5, 1), "month"),
        ("Sept. 2024", (2024, 9, 1), "month"),
        ("März 2024", (2024, 3, 1), "month"),
        ("3. Mai 2024", (2024, 5, 3), "day"),
        ("3 May 2024", (2024, 5, 3), "day"),
        ("17/5/2024", (2024, 5, 17), "day"),
        ("5/17/2024", (2024, 5, 17), "day"),
        ("4/4/2024", (2024, 4, 4), "day"),
    ],
)
def test_a_form_takes_a_birth_as_one_writes_it_by_hand(typed, on, precision):
    assert by_hand(typed) == Birth(datetime.date(*on), precision)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (
            "3/5/2024",
            "“3/5/2024” can be read as 2024-05-03 or as 2024-03-05; write the one that is meant.",
        ),
        (
            "13/2024",
            "“13/2024” is not a day of the calendar; write 2024-05-03, or 2024-05 or 2024 when "
            "only that is known.",
        ),
        (
            "31 Feb 2024",
            "“31 Feb 2024” is not a day of the calendar; write 2024-05-03, or 2024-05 or 2024 when "
            "only that is known.",
        ),
        ("12/2026", "“12/2026” is still to come; a birth is entered once it has been."),
        (
            "Maybe 2024",
            "“Maybe 2024” is not a birth date; write 2024-05-03, or 2024-05 or 2024 when only that "
            "is known.",
        ),
    ],
)
def test_what_is_no_birth_by_hand_is_refused_with_what_was_typed(typed, said):
    with pytest.raises(ValidationError) as refused:
        by_hand(typed)
    assert refused.value.messages == [said]
