"""A birth date as people type it, no more exact than it is known."""

import datetime

import pytest
from django.core.exceptions import ValidationError
from django.utils import translation

from breeding.animals.models import Animal
from breeding.animals.typed.fields import Birth, read_birth

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
