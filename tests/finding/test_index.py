"""The index is right whatever writes: pages, raw statements, bulk writes, and after a migration."""

import pytest
from django.core.management import call_command
from django.db import connection

from breeding.animals.models import Animal
from breeding.finding.index import building
from breeding.finding.models import Built, Entry
from breeding.housing.models import Tank
from breeding.pairings.models import Sighting
from breeding.program import clock
from breeding.records.checking.everything import check_everything
from tests import cast

pytestmark = pytest.mark.django_db


def names() -> set[str]:
    return set(Entry.objects.exclude(name="").values_list("name", flat=True))


def run(statement: str, *values: object) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)


def test_a_record_is_in_it_as_soon_as_it_is_written_and_out_when_it_goes():
    tank = Tank.objects.create(name="Glass Hall", note="by the  DOOR")
    assert "glass hall" in names()
    assert Entry.objects.get(kind="tank", part="note").words == "by the  door"
    tank.delete()
    assert not Entry.objects.filter(kind="tank").exists()


def test_letters_are_small_and_without_accents():
    Tank.objects.create(name="Bärbels ŁÓDŹ-Straße")
    (entry,) = Entry.objects.filter(kind="tank")
    assert entry.name == "barbels lodz-strasse"
    assert entry.compact == "barbelslodzstrasse"


def test_raw_and_bulk_writes_are_in_it_as_well(species_data):
    tanks = Tank.objects.bulk_create([Tank(name="One"), Tank(name="Two"), Tank(name="Three")])
    Tank.objects.filter(name="Two").update(name="Second")
    tanks[0].name = "First"
    Tank.objects.bulk_update([tanks[0]], ["name"])
    run("UPDATE housing_tank SET name = 'Third' WHERE name = %s", "Three")
    assert {"first", "second", "third"} <= names()
    assert not {"one", "two", "three"} & names()
    run("DELETE FROM housing_tank WHERE name = %s", "Third")
    assert "third" not in names()
    assert building.differences() == {}


def test_what_is_withdrawn_is_marked_so_and_back_when_it_is(owner):
    tank = Tank.objects.create(name="Hall")
    Tank.objects.filter(pk=tank.pk).update(withdrawn_at=clock.now())
    assert Entry.objects.get(name="hall").is_withdrawn
    Tank._base_manager.filter(pk=tank.pk).update(withdrawn_at=None)
    assert not Entry.objects.get(name="hall").is_withdrawn


def test_an_index_that_is_not_right_is_told_and_made_anew(owner, capsys):
    Tank.objects.create(name="Hall")
    Entry.objects.filter(kind="tank").delete()
    Entry.objects.filter(part="accepted_name").update(name="nothing")
    told = [one for part in check_everything(clock.today()) for one in part.findings]
    assert any("tank" in one.record and "1 text not found" in one.words for one in told)
    assert any("rebuild_index" in one.mend for one in told)
    call_command("rebuild_index")
    assert "The index holds" in capsys.readouterr().out
    assert building.differences() == {}
    assert "hall" in names()


def test_it_is_taken_away_before_tables_are_changed_and_made_again_after(owner):
    Tank.objects.create(name="Hall")
    assert building.is_whole()
    building.before_migrating(plan=[])
    assert building.is_whole()
    building.before_migrating(plan=["a step"])
    assert not building.is_whole()
    Tank.objects.create(name="Loft")  # written while there is none
    building.after_migrating()
    assert building.is_whole()
    assert {"hall", "loft"} <= names()
    assert building.differences() == {}


def test_one_of_other_statements_is_made_again(owner):
    Built.objects.update(signature="of an earlier version")
    assert not building.is_whole()
    building.after_migrating()
    assert building.is_whole()


def test_a_reminder_about_a_contact_is_of_another_kind_than_one_about_nothing(owner):
    from breeding.agenda.models import Reminder
    from breeding.buyers.services import add_contact

    kim = add_contact(by=owner, name="Kim Lund", reach="")
    one = Reminder.objects.create(text="call about papers", on=clock.today(), recorded_by=owner)
    assert Entry.objects.get(words__startswith="call").kind == "reminder"
    Reminder.objects.filter(pk=one.pk).update(contact=kim)
    assert Entry.objects.get(words__startswith="call").kind == "reminder_of_contact"


def test_whatever_else_changes_writes_nothing_into_it(species_data):
    vega = cast.female("Vega")
    before = list(Entry.objects.filter(kind="animal").values_list("pk", flat=True))
    Animal.objects.filter(pk=vega.pk).update(sex="U", country="")
    assert list(Entry.objects.filter(kind="animal").values_list("pk", flat=True)) == before
    assert not Sighting.objects.exists()
