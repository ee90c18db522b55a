"""What the database refuses names the rule that was broken, on SQLite and PostgreSQL alike."""

import datetime
from fractions import Fraction

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from breeding.animals import bulk, services
from breeding.animals.models import Animal, PossibleSire, Profile, Strain
from breeding.housing.models import Stay, Tank, WaterTest
from breeding.pairings.models import Pairing, SignKind
from breeding.program import clock
from breeding.program.models import Program
from breeding.program.problems import constraints
from tests import cast

pytestmark = pytest.mark.django_db

ON = datetime.date(2026, 3, 1)


def refused(write, instance=None):
    """What is said, by field, of a row that the database does not take."""
    with pytest.raises(ValidationError) as said, constraints.named(instance):
        write()
    return said.value.message_dict


CODE_TAKEN = "This code is taken by another animal; no two share one."


def test_a_name_that_is_taken_is_named():
    SignKind.objects.create(key="pearl", label="Pearl")
    second = SignKind(key="pearl", label="Pearl")
    assert refused(second.save, second) == {"key": ["The key pearl is taken."]}
    assert refused(second.save) == {"key": ["The key is taken."]}


def test_a_strain_of_one_name_is_refused_in_its_own_words():
    Strain.objects.create(name="Pearl")
    words = "Another strain is called so; choose another name."
    assert refused(Strain(name="Pearl").save) == {"name": [words]}


def test_a_code_is_taken_by_one_animal_that_counts():
    cast.female("Mira", code="R1")
    assert refused(Animal(code="R1").save) == {"code": [CODE_TAKEN]}
    Animal.objects.update(withdrawn_at=datetime.datetime(2026, 11, 3, tzinfo=datetime.UTC))
    Animal(code="R1").save()
    assert [one.is_withdrawn for one in Animal.every.filter(code="R1")] == [True, False]


def test_a_birth_date_without_its_precision_is_not_called_a_taken_code():
    animal = Animal(code="R1", born_on=ON)
    assert refused(animal.save, animal) == {
        "__all__": [
            "A birth date is known to the day, the month or the year; without a date it is unknown."
        ]
    }


def test_a_rule_with_words_of_its_own_says_them():
    tank = Tank.objects.create(name="Pool")
    assert refused(WaterTest(tank=tank, tested_at=clock.now()).save) == {
        "__all__": ["Write down at least one reading; 0 is “not detectable”."]
    }


def test_a_rule_on_one_field_is_said_beside_it():
    program = cast.the_program()
    program.pk = 2
    assert refused(lambda: Program.objects.bulk_create([program])) == {
        "pk": ["There is one program, and it is written down already; change that one."]
    }
    mira, pool = cast.female("Mira"), Tank.objects.create(name="Pool")
    Stay.objects.create(animal=mira, tank=pool, since=ON)
    assert refused(Stay(animal=mira, tank=pool, since=ON).save) == {
        "animal": ["This animal is in a tank already; end that stay first."]
    }


def test_a_rule_on_several_fields_names_them():
    mira, deneb = cast.female(), cast.male()
    for _ in range(2):
        row = PossibleSire(animal=mira, sire=deneb, share=Fraction(1, 2))
        if row.animal.possible_sires.exists():
            said = "This male is among the possible sires already; change his share there."
            assert refused(row.save) == {"__all__": [said]}
        else:
            row.save()


def test_a_rule_that_holds_on_a_condition_is_told_from_the_others():
    assert Profile.objects.filter(for_hybrids=True).exists()
    assert refused(Profile(key="more", label="More", for_hybrids=True).save) == {
        "for_hybrids": ["There is a profile for hybrids already; change that one."]
    }


def test_a_column_that_is_empty_is_named():
    animal = Animal(code="R1", call_name=None)
    assert refused(animal.save) == {"call_name": ["The call name is empty; it is needed."]}


def test_what_is_written_around_the_refused_row_stays():
    cast.female("Mira", code="R1")
    refused(Animal(code="R1").save)
    assert Animal.objects.count() == 1  # on PostgreSQL a broken transaction could not say so


def test_others_tell_a_rule_by_its_name():
    mira = cast.female()
    with pytest.raises(ValidationError) as said, constraints.named():
        Pairing(female=mira, male=mira, introduced_on=ON).save()
    assert constraints.names(said.value, "pairing_of_two")
    assert not constraints.names(said.value, "pairing_open_once")


def test_a_code_taken_between_the_check_and_the_writing(monkeypatch):
    cast.female("Mira", code="R1")
    monkeypatch.setattr(bulk, "check_animals", lambda rows: [])
    with pytest.raises(ValidationError) as said:
        services.register_animal(by=None, code="R1", call_name="Vega")
    assert said.value.message_dict == {"code": [CODE_TAKEN]}


def test_every_named_rule_is_read_back_from_what_a_database_says_of_it():
    """A check is named by both databases; a unique rule by its name or by its columns."""
    for model in apps.get_models():
        if not model.__module__.startswith("breeding."):
            continue
        for rule in model._meta.constraints:
            error = IntegrityError(f"CHECK constraint failed: {rule.name}")
            assert constraints.names(constraints.refusal(error), rule.name), rule


def test_what_no_rule_of_ours_says_is_still_said():
    error = IntegrityError("CHECK constraint failed: made_by_hand")
    assert constraints.refusal(error).messages == ["The records do not allow this: “made_by_hand”."]


def test_nothing_is_hidden_where_nothing_is_broken():
    with constraints.named(), transaction.atomic():
        cast.female("Mira")
    assert Animal.objects.get().call_name == "Mira"
