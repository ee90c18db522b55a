"""Archives of every format there has been are loaded, and what they lack takes the model's default.

fixtures/archives/ keeps one of each. When the format gets a new number, freeze one more:
RAYWARD_FREEZE=1 pytest tests/records/archive/test_earlier_formats.py -n 0 -k freeze
"""

import csv
import datetime
import io
import os

import pytest
import time_machine

from breeding.housing.models import Tank
from breeding.program.models import Program
from breeding.program.reference.fixture_files import fixture_path
from breeding.records.archive import layout, upgrading
from breeding.records.archive.kinds import KINDS
from breeding.records.archive.reading import ArchiveError
from tests.records.archive.filled import every_kind
from tests.records.archive.loop import NOW, counts_of, files_of, load, taken_out, told_anew, without

pytestmark = pytest.mark.django_db
FROZEN = sorted(fixture_path("archives").glob("format_*.zip"))


def newest() -> bytes:
    return fixture_path(f"archives/format_{layout.FORMAT_VERSION}.zip").read_bytes()


def rows(archive: bytes, name: str) -> list[dict[str, str]]:
    text = files_of(archive)[f"records/{name}.csv"].decode()
    return list(csv.DictReader(io.StringIO(text, newline="")))


def as_table(lines: list[dict[str, str]]) -> bytes:
    out = io.StringIO(newline="")
    table = csv.DictWriter(out, [*lines[0]], lineterminator="\r\n")
    table.writeheader()
    table.writerows(lines)
    return out.getvalue().encode()


@pytest.mark.skipif("RAYWARD_FREEZE" not in os.environ, reason="asked for when the format changes")
def test_freeze_one_of_everything(species_data, settings, tmp_path):
    settings.HOME = tmp_path
    with time_machine.travel(datetime.datetime(2026, 3, 31, 9, tzinfo=datetime.UTC), tick=False):
        every_kind()
    place = fixture_path("archives") / f"format_{layout.FORMAT_VERSION}.zip"
    place.write_bytes(taken_out(with_keys=False))


def test_there_is_one_of_each_format():
    formats = range(layout.FIRST_FORMAT, layout.FORMAT_VERSION + 1)
    assert [one.name for one in FROZEN] == [f"format_{number}.zip" for number in formats]
    assert set(upgrading.STEPS) == set(formats) - {layout.FORMAT_VERSION}


@pytest.mark.parametrize("frozen", FROZEN, ids=lambda one: one.stem)
def test_one_of_that_format_is_loaded_whole(frozen, species_data, settings, tmp_path):
    archive = frozen.read_bytes()
    loaded = load(archive, settings, tmp_path / "home")
    counts = counts_of(archive)
    assert loaded.rows == sum(counts.values()) > 300
    assert all(counts.values())
    assert sum(kind.model._base_manager.count() for kind in KINDS) == loaded.rows


def test_what_stood_in_one_of_this_format_stands_there_after_it(species_data, settings, tmp_path):
    archive = newest()
    load(archive, settings, tmp_path / "home")
    again = taken_out(with_keys=False)
    for name in counts_of(archive):
        before, after = rows(archive, name), rows(again, name)
        assert [{column: row[column] for column in before[0]} for row in after] == before


def test_a_column_that_was_not_there_yet_takes_the_default(species_data, settings, tmp_path):
    lines = rows(newest(), "program")
    for line in lines:
        del line["rest_days"], line["veterinarian"]
    load(told_anew(newest(), **{"records/program.csv": as_table(lines)}), settings, tmp_path / "h")
    usual = Program._meta.get_field("rest_days").default
    assert (Program.objects.get().rest_days, Program.objects.get().veterinarian) == (usual, "")


def test_what_did_not_say_when_it_was_written_down_was_there_when_the_archive_was_made(
    species_data, settings, tmp_path
):
    lines = rows(newest(), "tanks")
    for line in lines:
        line.pop("recorded_at")
    load(told_anew(newest(), **{"records/tanks.csv": as_table(lines)}), settings, tmp_path / "h")
    assert set(Tank.every.values_list("recorded_at", flat=True)) == {NOW}


def test_a_column_that_nothing_stands_for_is_named(species_data, settings, tmp_path):
    lines = rows(newest(), "tanks")
    for line in lines:
        del line["name"]
    archive = told_anew(newest(), **{"records/tanks.csv": as_table(lines)})
    with pytest.raises(ArchiveError, match=r"records/tanks.csv: the column name is missing\."):
        load(archive, settings, tmp_path / "home")


def test_a_kind_that_was_not_there_yet_has_no_rows(species_data, settings, tmp_path):
    load(without(newest(), "records/looks.csv"), settings, tmp_path / "home")
    assert counts_of(taken_out(with_keys=False))["looks"] == 0


def test_what_had_another_name_is_brought_up_step_by_step(
    species_data, settings, tmp_path, monkeypatch
):
    """As if the next two formats had given tanks.csv and its column `name` the names of today."""
    lines = [{"vat": line.pop("name"), **line} for line in rows(newest(), "tanks")]
    old = without(told_anew(newest(), **{"records/vats.csv": as_table(lines)}), "records/tanks.csv")
    this = layout.FORMAT_VERSION

    def titled(row):
        return {"title": row.pop("vat"), **row}

    def named(row):
        return {"name": row.pop("title").upper(), **row}

    steps = {
        this: upgrading.Step(names={"vats": "basins"}, rows={"vats": titled}),
        this + 1: upgrading.Step(names={"basins": "tanks"}, rows={"basins": named}),
    }
    monkeypatch.setattr(upgrading, "STEPS", steps)
    monkeypatch.setattr(layout, "FORMAT_VERSION", this + 2)
    load(old, settings, tmp_path / "home")
    assert set(Tank.every.values_list("name", flat=True)) == {line["vat"].upper() for line in lines}
