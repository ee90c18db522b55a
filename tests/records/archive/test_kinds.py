"""Every model of every room is in the archive or has a reason; every column has its words."""

import pytest
from django.apps import apps

from breeding.records.archive.columns import Column, columns_of
from breeding.records.archive.kinds import KINDS, LEFT_OUT, by_label
from breeding.records.archive.kinds.kind import Kind

EVERY_COLUMN = [column for kind in KINDS for column in columns_of(kind)]


def labels() -> set[str]:
    return {model._meta.label for model in apps.get_models(include_auto_created=True)}


def test_every_model_goes_out_or_stays_at_home_for_a_reason():
    assert labels() - by_label().keys() == set(LEFT_OUT), "add a Kind, or say why not in LEFT_OUT"


def test_no_kind_and_no_reason_is_of_a_model_that_is_gone():
    assert by_label().keys() | LEFT_OUT.keys() <= labels()
    assert by_label().keys().isdisjoint(LEFT_OUT)
    assert all(len(reason.split()) > 3 for reason in LEFT_OUT.values())


def test_no_two_kinds_share_a_file():
    names = [kind.name for kind in KINDS]
    assert sorted(names) == sorted(set(names))
    assert all(kind.about.endswith(".") for kind in KINDS)


def test_every_column_says_what_it_means():
    silent = [f"{one.kind.model_label}.{one.field.name}" for one in EVERY_COLUMN if not one.meaning]
    assert silent == [], "give the field a help text, or a meaning in archive/kinds/"
    assert [one.meaning for one in EVERY_COLUMN if not one.meaning.endswith((".", ")"))] == []


def test_no_meaning_is_of_a_field_that_is_gone_or_says_the_same_twice():
    for kind in KINDS:
        fields = {column.field.name for column in columns_of(kind)}
        assert kind.meanings.keys() | kind.secret <= fields, kind.name


def test_a_field_without_words_is_found():
    bare = Kind("animals.Animal", "animals", "An animal.")
    silent = {one.name for one in columns_of(bare) if not one.meaning}
    assert {"code", "call_name", "sire_id"} <= silent


@pytest.mark.parametrize(
    ("label", "name", "type_words", "unit", "points_to"),
    [
        ("animals.Measurement", "disc_width_mm", "whole number", "mm", ""),
        ("animals.Measurement", "weight_g", "whole number", "g", ""),
        ("housing.WaterTest", "temperature_c", "number", "°C", ""),
        ("housing.WaterTest", "nitrite_mg_l", "number", "mg/l", ""),
        ("housing.Tank", "volume_litres", "whole number", "litres", ""),
        ("program.Program", "rest_days", "whole number", "days", ""),
        ("animals.Animal", "sire_id", "whole number", "", "records/animals.csv"),
        ("animals.Animal", "born_on", "day, like 2026-03-31", "", ""),
        ("auditlog.LogEntry", "of_file", "name of a file in records/", "", ""),
        ("sheets.Sheet", "file", "path of a file under files/", "", ""),
    ],
)
def test_a_column_is_told_by_its_field(label, name, type_words, unit, points_to):
    (column,) = [one for one in columns_of(by_label()[label]) if one.name == name]
    assert (column.type_words, column.unit, column.points_to) == (type_words, unit, points_to)


def test_what_opens_the_program_needs_keys():
    def with_keys(one: Column) -> bool:
        return one.needs_keys

    found = {f"{one.kind.name}.{one.name}" for one in filter(with_keys, EVERY_COLUMN)}
    whole = {"second_steps", "recovery_sets", "recovery_codes"}
    assert {one for one in found if one.split(".")[0] not in whole} == {
        "people.password",
        "people.two_step_since",
    }
    assert {"second_steps.key", "recovery_codes.token"} < found
