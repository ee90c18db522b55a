"""Numbers as people type them: one reading, and a refusal that names what was typed."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.utils import translation

from breeding.animals.forms import MeasurementForm
from breeding.program.forms import ProgramForm
from breeding.program.typed.measures import LengthField, WeightField
from breeding.program.typed.numbers import (
    TypedDecimal,
    TypedFloat,
    TypedWhole,
    typed_field,
)
from breeding.program.typed.reading import LENGTH_UNITS, read_number, read_share

pytestmark = pytest.mark.one_database("a form cleans what was typed before any query")


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("10,5", "10.5"),
        ("10.5", "10.5"),
        (" 10.5 ", "10.5"),
        ("0,1", "0.1"),
        (",5", "0.5"),
        ("38.", "38"),
        ("1050", "1050"),
        ("0,105", "0.105"),
        ("10,50", "10.50"),
        ("\u0661\u0660\u066b\u0665", "10.5"),  # as a keyboard in Arabic writes it
        ("\u22125", "-5"),
    ],
)
def test_comma_and_point_are_the_same(typed, number):
    assert read_number(typed, places=2) == (Decimal(number), "")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("1,050.5", "“1,050.5” has two separators; write 1050.5."),
        ("1.050,5", "“1.050,5” has two separators; write 1050.5."),
        ("1,050,000", "“1,050,000” has two separators; write 1050000."),
        ("1,050,000.5", "“1,050,000.5” has several separators; write 1050000.5."),
        ("1.2.3", "“1.2.3” has two separators; write one number, like 10.5."),
        ("1 050", "“1 050” has a space among its digits; write 1050."),
        ("1 050,5", "“1 050,5” has a space among its digits; write 1050.5."),
        ("1\u202f050,5", "“1 050,5” has a space among its digits; write 1050.5."),
        ("1'050", "“1'050” has an apostrophe among its digits; write 1050."),
        ("1,050", "“1,050” can be read as 1050 or as 1.05; write 1050 or 1.05."),
        ("10.500", "“10.500” can be read as 10500 or as 10.5; write 10500 or 10.5."),
        ("1.234", "“1.234” can be read as 1234 or as 1.234; write 1234 or 1.23."),
    ],
)
def test_separators_of_thousands_are_refused_by_name(typed, said):
    with pytest.raises(ValidationError) as refused:
        read_number(typed, places=2)
    assert refused.value.messages == [said]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("1.250,50", "„1.250,50“ hat zwei Trennzeichen; schreibe 1250,50."),
        ("1.234", "„1.234“ kann 1234 oder 1,234 heißen; schreibe 1234 oder 1,23."),
    ],
)
def test_how_it_is_written_is_said_with_the_comma_of_who_reads_it(typed, said):
    with translation.override("de"), pytest.raises(ValidationError) as refused:
        read_number(typed, places=2)
    assert refused.value.messages == [said]


def test_what_a_refusal_says_to_write_is_taken():
    with translation.override("de"):
        for write, number in (("1250,50", "1250.50"), ("1234", "1234"), ("1,23", "1.23")):
            assert read_number(write, places=2) == (Decimal(number), "")


def test_three_digits_behind_a_comma_are_read_where_the_field_takes_three():
    assert read_number("1,050", places=3) == (Decimal("1.050"), "")
    assert read_number("1,050", places=None) == (Decimal("1.050"), "")


@pytest.mark.parametrize(
    "typed", ["", "wide", "1e5", "NaN", "²", "5-6", "1\0", "5 cm 3", "9" * 400]
)
def test_what_is_no_number_is_refused(typed):
    with pytest.raises(ValidationError) as refused:
        read_number(typed, units=LENGTH_UNITS, places=2)
    assert "is not a number; write it like 38 or 38.5." in refused.value.messages[0]


@pytest.mark.parametrize("typed", ["10,5 cm", "10.5 cm", "105 mm", "105mm", "10,5", "10.5 CM"])
def test_ten_and_a_half_centimetres_are_105_millimetres_however_typed(typed):
    assert LengthField(unit="cm").clean(typed) == 105


def test_a_unit_that_is_not_one_of_length_is_refused_with_those_that_are():
    with pytest.raises(ValidationError) as refused:
        LengthField(unit="cm").clean("10 kg")
    (said,) = refused.value.messages
    assert said == (
        "“10 kg” has a unit that is not known here; write the number alone, or with mm, cm or in "
        "behind it."
    )


def test_a_length_that_is_not_possible_is_named_in_the_unit_it_was_typed_in():
    with pytest.raises(ValidationError) as refused:
        LengthField(unit="cm").clean("5000 mm")
    assert refused.value.messages == ["5000 mm is not possible here; allowed is 1 to 300 cm."]


@pytest.mark.parametrize(
    ("typed", "grams"), [("42", 42), ("1,25 kg", 1250), ("1,250 kg", 1250), ("42,4 g", 42)]
)
def test_a_weight_is_typed_in_grams_or_with_its_unit(typed, grams):
    assert WeightField().clean(typed) == grams


def test_a_weight_of_1_250_in_grams_can_be_two_things():
    with pytest.raises(ValidationError, match=r"1250 or as 1\.25"):
        WeightField().clean("1,250")


@pytest.mark.parametrize(
    ("typed", "share"),
    [("12,5 %", Fraction(1, 8)), ("0,125", Fraction(1, 8)), ("1/8", Fraction(1, 8))],
)
def test_a_share_is_read_with_a_comma_as_well(typed, share):
    assert read_share(typed) == share


def test_a_share_with_two_separators_is_refused_by_name():
    with pytest.raises(ValidationError, match="has two separators"):
        read_share("1,050.5 %")


class Form(forms.Form):
    pups = TypedWhole(min_value=0, max_value=60)
    nitrite = TypedDecimal(max_digits=7, decimal_places=3, units={"mg/l": "mg/L"})
    chance = TypedFloat(min_value=0)


def test_a_tenth_of_a_milligram_is_a_tenth():
    form = Form({"pups": "5", "nitrite": "0,1", "chance": "0,25"})
    assert form.is_valid()
    assert form.cleaned_data == {"pups": 5, "nitrite": Decimal("0.1"), "chance": 0.25}
    assert Form({"pups": "5,0", "nitrite": "0,1 mg/L", "chance": "1"}).is_valid()


def test_a_refused_form_shows_what_was_typed_as_it_was_typed():
    form = Form({"pups": "1,050", "nitrite": "0,1", "chance": "1,050.5"})
    assert not form.is_valid()
    assert form.errors["pups"] == ["“1,050” can be read as 1050 or as 1.05; write 1050."]
    page = str(form)
    assert 'value="1,050"' in page
    assert 'value="0,1"' in page
    assert 'value="1,050.5"' in page


def test_they_are_lines_of_text_with_the_keys_for_numbers():
    page = str(Form())
    assert page.count('type="text"') == 3
    assert page.count('inputmode="decimal"') == 2
    assert page.count('inputmode="numeric"') == 1


def test_columns_of_numbers_are_typed_alike():
    kinds = {
        models.PositiveIntegerField: TypedWhole,
        models.FloatField: TypedFloat,
        models.CharField: forms.CharField,
    }
    for column, field in kinds.items():
        assert type(typed_field(column())) is field
    assert isinstance(ProgramForm.base_fields["rest_days"], TypedWhole)
    assert isinstance(ProgramForm.base_fields["planning_chance"], TypedFloat)
    assert isinstance(MeasurementForm.base_fields["weight_g"], WeightField)
