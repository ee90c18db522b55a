"""Names are one line, can be seen, and turn nothing around, wherever they are typed or kept."""

import re

import pytest
from django.core.exceptions import ValidationError
from django.db import connection, models

from breeding.animals.models import Animal
from breeding.buyers.models import Contact
from breeding.housing.models import Tank
from breeding.program.fields import NameField
from breeding.program.models import Person
from breeding.program.typed.names import plain_name, validate_name
from tests import cast
from tests.everything import rooms

CALLED = re.compile(r"(^|_)(name|code|label|title|called|country|prefix|kind_word)s?(_|$)")
# Text that is called something, and is no name that somebody types into a row of its own.
NO_NAMES = {
    "animals.ProfileFigure.name": "of a figure, by which the program knows it",
    "program.Person.last_name": "Django's own; nothing here reads it",
    "program.Person.username": "letters, digits and @.+-_ alone",
    "buyers.HandOver.source_code": "chosen from a list",
    "origin.OriginPaper.source_code": "chosen from a list",
    "records.ImportDraft.file_name": "the name of somebody's file, shown and used for nothing",
    "records.ImportDraft.put_before_codes": "each code that it makes is asked",
    "program.ShownColumns.list_key": "set by the program",
}
TURNED = "Mira \u202eageV"


def names_of(model: type[models.Model]) -> list[models.Field]:
    return [
        field
        for field in model._meta.concrete_fields
        if isinstance(field, models.CharField)
        and CALLED.search(field.name)
        and f"{model._meta.label}.{field.name}" not in NO_NAMES
    ]


def test_every_field_that_holds_a_name_asks_what_a_name_may_hold():
    found = {
        f"{model._meta.label}.{field.name}": isinstance(field, NameField)
        for room in rooms()
        for model in room.get_models()
        for field in names_of(model)
    }
    assert [name for name, asks in found.items() if not asks] == []
    assert {
        "animals.Animal.call_name",
        "animals.Animal.code",
        "animals.Species.accepted_name",
        "animals.Strain.name",
        "buyers.Contact.name",
        "housing.Tank.name",
        "housing.WaterSystem.name",
        "program.Person.first_name",
        "program.Program.name",
    } <= found.keys()


@pytest.mark.one_database("what forms clean")
@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("Mira\nVega", "“Mira Vega” was typed with a line break"),
        ("Mira\tVega", "a name is one line"),
        ("Mira\x07", "a name is one line"),
        ("Mira\u2028Vega", "a name is one line"),
        (TURNED, "“Mira ageV” holds a hidden character that turns the writing around"),
        ("\u2066Mira", "turns the writing around"),
        ("Mira\u200f", "turns the writing around"),
        ("\u200b", "Nothing of this name can be seen"),
        ("\u2060\ufeff \u3164", "Nothing of this name can be seen"),
    ],
)
def test_what_a_name_must_not_hold_is_said_with_what_is_left_of_it(typed, said):
    with pytest.raises(ValidationError, match=re.escape(said)):
        validate_name(typed)


@pytest.mark.one_database("what forms clean")
@pytest.mark.parametrize(
    "typed", ["Mira", "Étoile d'été", "ميرا", "母", "नर\u200dक", "🐟", "7-a", ""]
)
def test_names_of_every_writing_are_taken(typed):
    validate_name(typed)


@pytest.mark.one_database("how a name is drawn")
def test_a_name_is_drawn_in_one_line_that_turns_nothing():
    assert plain_name("Mira\u202e\nVega") == "Mira Vega"


@pytest.mark.parametrize("typed", ["Mira\u202eageV", "Mi\nra", "\u200b"])
@pytest.mark.parametrize(
    ("address", "field", "others"),
    [
        ("/buyers/new/", "name", {}),
        ("/animals/new/", "call_name", {"sex": "F", "origin": "unknown", "state": "here"}),
        ("/tanks/new/", "name", {"kind": "breeding"}),
        ("/people/", "called", {"username": "kim", "role": "viewer", "password": "long-enough-77"}),
    ],
)
def test_a_page_refuses_it_beside_its_field_and_keeps_nothing(
    as_owner, address, field, others, typed
):
    before = [model.objects.count() for model in (Animal, Contact, Tank, Person)]
    page = as_owner.post(address, {field: typed, **others})
    assert page.status_code in (200, 422)
    assert field in page.context["form"].errors
    assert [model.objects.count() for model in (Animal, Contact, Tank, Person)] == before


def test_a_name_that_was_kept_before_turns_nothing_around(as_owner):
    mira = cast.female("Mira")
    table = Animal._meta.db_table
    with connection.cursor() as cursor:
        cursor.execute(f"UPDATE {table} SET call_name = %s", [TURNED])
    assert Animal.objects.get().name == "Mira ageV"
    page = as_owner.get(mira.get_absolute_url()).content.decode()
    assert "Mira ageV" in page
    assert "\u202e" not in page
