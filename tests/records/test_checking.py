"""What is wrong with the records is found, named, and said how to mend; nothing is changed."""

import os
import re
import subprocess
import sys
import time
from io import StringIO
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

import breeding
from breeding.animals.models import Animal, Measurement, Photograph
from breeding.housing.models import Stay, Tank
from breeding.pairings.models import Pairing
from breeding.program import clock
from breeding.records.checking.everything import check_everything
from tests import cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def family(owner):
    """Lyra, born 2024, of Deneb and Vega."""
    vega = cast.female("Vega", born_on=cast.day("2019-05-01"), born_precision="day")
    deneb = cast.male("Deneb", born_on=cast.day("2018-05-01"), born_precision="day")
    lyra = cast.female(
        "Lyra", sire=deneb, dam=vega, born_on=cast.day("2024-05-03"), born_precision="day"
    )
    return {one.call_name: one for one in (vega, deneb, lyra)}


def past_the_tool(animal, **facts):
    """Written around every service, as a hand in the database would."""
    Animal.every.filter(pk=animal.pk).update(**facts)


def found() -> list[str]:
    """Each finding as one text: the record, what is wrong, how to mend it, where."""
    return [
        f"{one.record}: {one.words} {one.mend} {one.address}"
        for part in check_everything(clock.today())
        for one in part.findings
    ]


def the_one(words: str) -> str:
    matching = [one for one in found() if words in one]
    assert len(matching) == 1, found()
    return matching[0]


def told() -> tuple[int, str]:
    """The code it ends with, and what it says."""
    out = StringIO()
    try:
        call_command("check_records", stdout=out)
    except SystemExit as end:
        return end.code, out.getvalue()
    return 0, out.getvalue()


# ------------------------------------------------------------------------------------ in general


def test_records_in_order_end_with_nothing(family):
    assert found() == []
    assert told() == (0, "All records are whole, and none says anything impossible.\n")


def test_a_finding_ends_with_one_and_says_what_where_and_how(family):
    past_the_tool(family["Vega"], sex="M")
    code, said = told()
    assert code == 1
    assert "Lineage\n- Lyra" in said
    assert "Vega is recorded as a male; a dam must be female." in said
    assert f"To mend it: Put it right on its page. (/change/animal/{family['Lyra'].pk}/)" in said
    assert re.search(r"\d+ things? to put right. Nothing was changed.", said)


def test_the_page_says_the_same_to_owners(family, as_owner, as_keeper):
    past_the_tool(family["Vega"], sex="M")
    page = as_owner.get("/records/check/").content.decode()
    assert "Vega is recorded as a male; a dam must be female." in page
    assert f'href="/change/animal/{family["Lyra"].pk}/"' in page
    assert as_keeper.get("/records/check/").status_code == 403
    assert "/records/check/" in as_owner.get("/more/").content.decode()
    assert "/records/check/" not in as_keeper.get("/more/").content.decode()


def test_it_asks_only_and_no_more_for_more_records(family):
    check_everything(clock.today())
    with CaptureQueriesContext(
        connection,
    ) as few:
        check_everything(clock.today())
    for number in range(12):
        young = cast.female(
            f"Young {number}",
            sire=family["Deneb"],
            dam=family["Vega"],
            born_on=cast.day("2025-01-01"),
            born_precision="day",
        )
        Measurement.objects.create(animal=young, on=cast.day("2025-06-01"), disc_width_mm=200)
        tank = Tank.objects.create(name=f"Tank {number}")
        Stay.objects.create(animal=young, tank=tank, since=cast.day("2025-02-01"))
    assert found() == []  # the lineage is read anew once
    with CaptureQueriesContext(connection) as many:
        check_everything(clock.today())
    assert len(many) == len(few), len(few)
    words = {query["sql"].split()[0] for query in many}
    assert words <= {"SELECT", "PRAGMA", "DECLARE", "FETCH", "CLOSE"}, words


# --------------------------------------------------------------------------------------- lineage


def test_a_loop_is_found_and_names_the_animals(family):
    lyra, vega = family["Lyra"], family["Vega"]
    past_the_tool(vega, dam=lyra)
    said = the_one("among its own ancestors")
    assert "Lyra" in said
    assert "Vega" in said
    assert "Deneb" not in said
    assert "Take out the parent that is wrong" in said
    assert re.search(rf"/change/animal/({lyra.pk}|{vega.pk})/", said)


def test_every_loop_is_found(family):
    a, b = cast.female("Ara"), cast.female("Bora")
    past_the_tool(a, dam=b)
    past_the_tool(b, dam=a)
    past_the_tool(family["Deneb"], dam=family["Lyra"])
    assert sum("among its own ancestors" in one for one in found()) == 2


def test_the_page_answers_although_a_loop_is_there(family, as_owner):
    past_the_tool(family["Vega"], dam=family["Lyra"])
    page = as_owner.get("/records/check/")
    assert page.status_code == 200
    assert "among its own ancestors" in page.content.decode()


def test_a_parent_of_the_other_sex_is_found(family):
    past_the_tool(family["Deneb"], sex="F")
    assert "a sire must be male" in the_one("Deneb is recorded as a female")


def test_a_parent_born_after_its_young_is_found(family):
    past_the_tool(family["Deneb"], born_on=cast.day("2025-01-01"))
    assert "a sire is older than its young" in the_one("Deneb was born 1 January 2025")


def test_a_parent_that_is_withdrawn_is_found(family):
    past_the_tool(family["Vega"], withdrawn_at=timezone.now(), withdrawn_reason="twice")
    assert "or bring Vega back" in the_one("its dam, is withdrawn")


def test_one_animal_that_is_sire_and_dam_is_found(family):
    both = cast.female("Both")
    cast.female("One", dam=both)
    past_the_tool(both, sex="U")
    past_the_tool(cast.female("Two"), sire=both)
    assert sum("an animal is one or the other" in one for one in found()) == 2


# ------------------------------------------------------------------------------------------ days


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"born_on": "2099-01-01"}, "1 January 2099 is still to come"),
        ({"state": "died", "state_on": "2099-01-01"}, "1 January 2099 is still to come"),
        ({"state": "left", "state_on": "2024-05-02"}, "2 May 2024 is before Lyra was born"),
    ],
)
def test_a_life_that_cannot_be_is_found(family, facts, words):
    past_the_tool(family["Lyra"], **facts)
    assert any(words in one for one in found())


def test_measured_before_birth_and_after_death(family):
    lyra = family["Lyra"]
    Measurement.objects.create(animal=lyra, on=cast.day("2024-01-01"), weight_g=10)
    assert "Put it right on its page. /" in the_one("1 January 2024 is before Lyra was born")
    Measurement.objects.all().delete()
    Measurement.objects.create(animal=lyra, on=cast.day("2025-01-01"), weight_g=10)
    past_the_tool(lyra, state="died", state_on=cast.day("2024-12-01"))
    assert the_one("1 January 2025 is after Lyra died")


def test_a_withdrawn_record_is_not_asked(family):
    Measurement.objects.create(
        animal=family["Lyra"], on=cast.day("2024-01-01"), weight_g=10, withdrawn_at=timezone.now()
    )
    assert found() == []


def test_a_value_that_no_form_would_take_is_found(family):
    Measurement.objects.create(animal=family["Lyra"], on=cast.day("2025-01-01"), weight_g=900_000)
    assert the_one("weight g: ")


def test_a_pairing_of_two_females_is_found(family):
    Pairing.objects.create(
        female=family["Vega"],
        male=family["Deneb"],
        introduced_on=cast.day("2023-10-01"),
        separated_on=cast.day("2023-11-01"),
    )
    assert found() == []
    past_the_tool(family["Deneb"], sex="U")
    assert "stands in it as a male, and is recorded as unknown" in the_one("Deneb")


# --------------------------------------------------------------------------- who is where with whom


@pytest.fixture
def two_tanks():
    return [Tank.objects.create(name=name) for name in ("North", "South")]


def test_two_stays_that_are_open_are_found(family, two_tanks):
    with connection.cursor() as cursor:
        cursor.execute("DROP INDEX stay_one_open")
    for tank, since in zip(two_tanks, ("2025-01-01", "2025-02-01"), strict=True):
        Stay.objects.create(animal=family["Lyra"], tank=tank, since=cast.day(since))
    said = the_one("two stays that are open")
    assert "in North since 1 January 2025, and in South since 1 February 2025" in said
    assert "End, correct or withdraw the stay that is wrong." in said


def test_two_places_at_once_are_found_but_not_the_day_of_a_move(family, two_tanks):
    north, south = two_tanks
    lyra = family["Lyra"]
    first = Stay.objects.create(
        animal=lyra, tank=north, since=cast.day("2025-01-01"), until=cast.day("2025-02-01")
    )
    Stay.objects.create(animal=lyra, tank=south, since=cast.day("2025-02-01"))
    assert found() == []
    Stay.objects.filter(pk=first.pk).update(until=cast.day("2025-03-01"))
    assert the_one("is in North and in South at once, from 1 February 2025")


def test_two_pairings_of_the_same_two_at_once_are_found(family):
    for day in ("2023-10-01", "2023-10-10"):
        Pairing.objects.create(
            female=family["Vega"],
            male=family["Deneb"],
            introduced_on=cast.day(day),
            separated_on=cast.day("2023-11-01"),
        )
    assert "Separate or withdraw one" in the_one("as together since 1 October 2023 already")


# ----------------------------------------------------------------------------------------- files


@pytest.fixture
def photograph(family):
    made = Photograph(animal=family["Lyra"], width_px=1, height_px=1)
    made.picture.save("1.jpg", ContentFile(b"large"), save=False)
    made.thumbnail.save("1-small.jpg", ContentFile(b"small"), save=False)
    made.save()
    return made


def old(name: str) -> None:
    """As if it had been lying there since yesterday."""
    path = Path(default_storage.path(name))
    yesterday = time.time() - 24 * 60 * 60
    os.utime(path, (yesterday, yesterday))


def test_a_file_that_is_not_there_is_found(photograph):
    assert found() == []
    Path(photograph.thumbnail.path).unlink()
    said = the_one(f"Its file {photograph.thumbnail.name} is not there")
    assert "Put the file back from a backup" in said


def test_a_file_that_nothing_names_is_found_once_it_has_lain_for_an_hour(photograph):
    name = default_storage.save("photographs/lost.jpg", ContentFile(b"x"))
    assert found() == []  # somebody may be saving it at this moment
    old(name)
    assert "No record names it" in the_one(name)


def test_a_file_that_undoing_would_bring_back_is_nobodys_orphan(photograph):
    before = photograph.picture.name
    photograph.picture.save("2.jpg", ContentFile(b"other"))
    old(before)
    assert found() == []


# -------------------------------------------------------------------------------------- database


@pytest.mark.django_db(transaction=True)
def test_a_row_that_points_to_nothing_is_found(species_data, family):
    measured = Measurement.objects.create(animal=family["Lyra"], weight_g=10)
    _without_foreign_keys(
        f"UPDATE animals_measurement SET animal_id = 987654 WHERE id = {measured.pk}"
    )
    try:
        said = the_one("animal is animal 987654, which is not there")
        assert f"measurement {measured.pk}" in said
        assert "Restore a backup" in said
    finally:
        _without_foreign_keys("DELETE FROM animals_measurement")


def _without_foreign_keys(statement: str) -> None:
    off, on = {
        "sqlite": ("PRAGMA foreign_keys = OFF", "PRAGMA foreign_keys = ON"),
        "postgresql": (
            "SET session_replication_role = replica",
            "SET session_replication_role = DEFAULT",
        ),
    }[connection.vendor]
    with connection.cursor() as cursor:
        for one in (off, statement, on):
            cursor.execute(one)


def test_half_a_database_is_told_and_nothing_else_asked(family):
    with connection.cursor() as cursor:
        cursor.execute("DROP TABLE offers_saleslink")
    code, said = told()
    assert code == 1
    assert "There is no table offers_saleslink." in said
    assert "Traceback" not in said


def test_what_a_newer_version_made_is_told(family):
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES (%s, %s, %s)",
            ["animals", "0099_from_tomorrow", "2026-11-01T00:00:00Z"],
        )
    assert "Start the newer version" in the_one("animals 0099_from_tomorrow")


def test_a_directory_without_a_database_gets_none_by_looking(tmp_path):
    place = tmp_path / "home"
    place.mkdir()
    manage = Path(breeding.__file__).parents[1] / "manage.py"
    not_ours = ("DJANGO_SETTINGS_MODULE", "RAYWARD_DATABASE")
    said = subprocess.run(
        [sys.executable, str(manage), "check_records", "--home", str(place)],
        env={name: value for name, value in os.environ.items() if name not in not_ours},
        capture_output=True,
        text=True,
        check=False,
    )
    assert said.returncode == 1
    assert f"There is no database at {place}/rayward.sqlite3" in said.stderr
    assert list(place.iterdir()) == []
