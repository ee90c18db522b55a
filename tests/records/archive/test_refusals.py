"""What is refused, in words, and leaves everything as it was."""

import io
import json
import zipfile
from pathlib import Path

import pytest

from breeding.animals.models import Animal, Species
from breeding.animals.services import add_photograph
from breeding.housing.models import Tank
from breeding.pairings.species_file import load_species
from breeding.program.models import Person
from breeding.records.archive import layout
from breeding.records.archive.loading import load_archive
from breeding.records.archive.reading import ArchiveError
from tests import cast
from tests.everything import count_from_one, picture
from tests.records.archive.loop import empty, load, repacked, taken_out, told_anew

pytestmark = pytest.mark.django_db
PHOTOGRAPH = "files/photographs/"


@pytest.fixture
def archive(species_data, settings, tmp_path) -> bytes:
    settings.HOME = tmp_path / "first"
    settings.HOME.mkdir()
    count_from_one()
    cast.owner()
    mira = cast.female("Mira", dam=cast.female("Vega"))
    add_photograph(mira, picture(), by=None, taken_on=cast.day("2026-03-31"))
    (settings.HOME / "secret_key").write_text("k" * 60)
    return taken_out()


def refused(archive: bytes, settings, tmp_path: Path) -> str:
    """Why it is not loaded; nothing is left of the attempt, not even the directory."""
    place = tmp_path / "second"
    with pytest.raises(ArchiveError) as problem:
        load(archive, settings, place)
    assert not place.exists()
    assert not Animal.every.exists()
    assert not Person.objects.exists()
    return str(problem.value)


def table(archive: bytes, name: str) -> bytes:
    with zipfile.ZipFile(io.BytesIO(archive)) as packed:
        return packed.read(f"records/{name}.csv")


def with_rows(archive: bytes, name: str, before: str, after: str) -> bytes:
    """The archive with other words in a table, and a manifest that says so: only the rows lie."""
    content = table(archive, name).decode()
    assert before in content
    return told_anew(archive, **{f"records/{name}.csv": content.replace(before, after).encode()})


class TestAnArchiveThatIsNotAsItWas:
    def test_a_changed_file_is_named(self, archive, settings, tmp_path):
        animals = table(archive, "animals")
        changed = repacked(archive, **{"records/animals.csv": animals.replace(b"Mira", b"Myra")})
        why = refused(changed, settings, tmp_path)
        assert why.startswith("records/animals.csv is not as it was written: its checksum is ")

    def test_a_file_that_is_gone_is_named(self, archive, settings, tmp_path):
        without = repacked(archive, **{"records/animals.csv": None})
        assert refused(without, settings, tmp_path) == "Gone from it: records/animals.csv."

    def test_a_file_that_was_added_is_named(self, archive, settings, tmp_path):
        more = repacked(archive, **{"files/photographs/more.jpg": b"x"})
        why = refused(more, settings, tmp_path)
        assert why == "Added to it, and not in its manifest: files/photographs/more.jpg."

    @pytest.mark.parametrize("content", [b"", b"PK\x03\x04", b"code,name\nR1,Mira\n"])
    def test_what_is_no_archive_at_all_is_said(self, content, settings, tmp_path, species_data):
        assert refused(content, settings, tmp_path).endswith("is no archive that can be opened.")

    def test_half_an_archive_is_said(self, archive, settings, tmp_path):
        why = refused(archive[: len(archive) // 2], settings, tmp_path)
        assert why.endswith("is no archive that can be opened.")

    def test_any_other_packed_file_is_said(self, settings, tmp_path, species_data):
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as packed:
            packed.writestr("a.txt", "a")
        why = refused(out.getvalue(), settings, tmp_path)
        assert why == "There is no manifest.json in it: it is no archive of ours."

    @pytest.mark.parametrize(
        ("before", "after", "why"),
        [
            ('"format_version": 1', '"format_version": 99', "it has format 99, and this program"),
            ('"rayward archive"', '"another thing"', "it is a “another thing” and no rayward"),
            ('"rayward archive"', "1", "it is a backup; manage.py restore puts it back"),
            ('"files": [', '"papers": [', "its manifest cannot be read"),
            ('"format_version": 1', '"format_version": "1"', "its manifest cannot be read"),
            ('"format_version": 1', '"format_version": 0', "it has format 0, which never was"),
            ('"size": ', '"size": -', "its manifest cannot be read"),
            ("{", "[" * 5000 + "{", "its manifest cannot be read"),
        ],
    )
    def test_a_manifest_that_says_something_else_is_refused(
        self, archive, settings, tmp_path, before, after, why
    ):
        with zipfile.ZipFile(io.BytesIO(archive)) as packed:
            said = packed.read("manifest.json").decode()
        assert before in said
        changed = repacked(archive, **{"manifest.json": said.replace(before, after, 1).encode()})
        assert why in refused(changed, settings, tmp_path)


class TestAnArchiveThatMeansHarm:
    @pytest.mark.parametrize(
        "name",
        [
            "../secret_key",
            "files/../../secret_key",
            "/etc/passwd",
            "files//x",
            "files/./x",
            "files/..",
            "files/a\\..\\b",
            "files/C:x",
            "files/a\nb",
            "files/",
            "keys/other",
            "keys/../secret_key",
            "records/../x.csv",
            "rayward.sqlite3",
        ],
    )
    def test_a_name_that_leads_elsewhere_is_refused(self, archive, settings, tmp_path, name):
        why = refused(told_anew(archive, **{name: b"x"}), settings, tmp_path)
        assert why == f"{name!r} is no name of a file of an archive."

    def test_a_record_cannot_name_a_file_elsewhere(self, archive, settings, tmp_path):
        harm = with_rows(archive, "photographs", "photographs/2", "../../photographs/2")
        why = refused(harm, settings, tmp_path)
        assert "is named by a record, and is not in the archive." in why

    def test_what_would_unpack_to_more_than_it_says_is_refused(self, archive, settings, tmp_path):
        bomb = repacked(archive, **{"README.txt": b"0" * 50_000_000})
        assert len(bomb) < 1_000_000
        why = refused(bomb, settings, tmp_path)
        assert why.startswith("README.txt would unpack to 50000000 bytes; the manifest says ")

    def test_what_would_fill_the_disk_is_refused(self, archive, settings, tmp_path, monkeypatch):
        full = type("Usage", (), {"free": 1000})
        monkeypatch.setattr("shutil.disk_usage", lambda place: full)
        why = refused(archive, settings, tmp_path)
        assert " and 1000 are free at " in why

    def test_a_table_larger_than_any_is_refused(self, archive, settings, tmp_path, monkeypatch):
        monkeypatch.setattr("breeding.records.archive.reading.MOST_TABLE_BYTES", 100)
        assert "no more than 100 are read." in refused(archive, settings, tmp_path)

    def test_a_cell_longer_than_any_is_refused(self, archive, settings, tmp_path, monkeypatch):
        monkeypatch.setattr("breeding.records.archive.reading.MOST_CELL_CHARACTERS", 5)
        assert "is no table in UTF-8: field larger than" in refused(archive, settings, tmp_path)

    def test_two_files_of_one_name_are_refused(self, archive, settings, tmp_path):
        out = io.BytesIO(archive)
        with pytest.warns(UserWarning, match="Duplicate name"), zipfile.ZipFile(out, "a") as packed:
            packed.writestr("records/animals.csv", "id\r\n")
        why = refused(out.getvalue(), settings, tmp_path)
        assert why == "It holds two files of one name."


class TestRowsThatCannotBe:
    @pytest.mark.parametrize(
        ("name", "before", "after", "why"),
        [
            ("animals", ",Mira,,F,", ",Mira,,female,",
             "records/animals.csv, row 2, sex: “female” cannot be read: allowed are F, M, U."),
            ("animals", "call_name", "called",
             "records/animals.csv: this program knows no column “called”."),
            ("animals", ",state,", ",code,", "one that names a column twice"),
            ("animals", ",Mira,,F,", ",,F,", "records/animals.csv, row 2 has 21 cells; the header"),
            ("animals", ",1,,,here", ",77,,,here",
             "records/animals.csv, id 2: dam_id is 77, which is not in records/animals.csv."),
            ("animals", ",002,Mira", ",001,Mira", "records/animals.csv breaks a rule of the"),
            ("animals", ",Mira,", ',"Mi"ra,', "records/animals.csv is no table in UTF-8"),
            ("people", ",owner", ",god", "role: “god” cannot be read: allowed are owner, keeper"),
        ],
    )  # fmt: skip
    def test_the_row_is_named_and_nothing_is_written(
        self, archive, settings, tmp_path, name, before, after, why
    ):
        assert why in refused(with_rows(archive, name, before, after), settings, tmp_path)

    def test_a_kind_of_record_that_nobody_knows_is_named(self, archive, settings, tmp_path):
        more = told_anew(archive, **{"records/dragons.csv": b"id\r\n1\r\n"})
        why = refused(more, settings, tmp_path)
        assert why == "records/dragons.csv: this program keeps no records of that kind."

    def test_a_file_that_no_record_names_is_refused(self, archive, settings, tmp_path):
        more = told_anew(archive, **{"files/photographs/2026/x.jpg": b"x"})
        why = refused(more, settings, tmp_path)
        assert why.endswith("x.jpg is in the archive, and no record names it.")

    def test_fewer_rows_than_the_manifest_says_are_refused(self, archive, settings, tmp_path):
        lines = table(archive, "animals").splitlines(keepends=True)
        fewer = told_anew(archive, **{"records/animals.csv": b"".join(lines[:-1])}, rows=2)
        why = refused(fewer, settings, tmp_path)
        assert why == "records/animals.csv has 1 row; the manifest says 2."


class TestAHomeThatIsNotEmpty:
    def test_somebodys_program_is_left_alone_and_named(self, archive, settings, tmp_path):
        place = tmp_path / "a.zip"
        place.write_bytes(archive)
        empty(settings, tmp_path / "second")
        Tank.objects.create(name="Bay")
        with pytest.raises(ArchiveError, match=r"is not empty: it has tanks\. Name an empty"):
            load_archive(place)
        assert Tank.objects.get().name == "Bay"

    def test_files_that_are_there_are_left_alone(self, archive, settings, tmp_path):
        place = tmp_path / "a.zip"
        place.write_bytes(archive)
        empty(settings, tmp_path / "second")
        settings.MEDIA_ROOT.mkdir(parents=True)
        (settings.MEDIA_ROOT / "x.jpg").write_bytes(b"x")
        with pytest.raises(ArchiveError, match="There are files in"):
            load_archive(place)
        assert (settings.MEDIA_ROOT / "x.jpg").read_bytes() == b"x"

    def test_a_key_that_is_there_is_left_alone(self, archive, settings, tmp_path):
        place = tmp_path / "a.zip"
        place.write_bytes(archive)
        empty(settings, tmp_path / "second")
        settings.HOME.mkdir()
        (settings.HOME / "secret_key").write_text("mine")
        with pytest.raises(ArchiveError, match="secret_key is there already"):
            load_archive(place)
        assert (settings.HOME / "secret_key").read_text() == "mine"

    def test_species_that_every_new_program_has_make_room(self, archive, settings, tmp_path):
        place = tmp_path / "a.zip"
        place.write_bytes(archive)
        before = set(Species.objects.values_list("pk", "key"))
        empty(settings, tmp_path / "second")
        Species.objects.all().delete()
        load_species()
        load_archive(place)
        assert set(Species.objects.values_list("pk", "key")) == before
        assert (settings.HOME / "secret_key").read_text() == "k" * 60


def test_when_a_file_cannot_be_laid_down_nothing_is_loaded(
    archive, settings, tmp_path, monkeypatch
):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("breeding.records.archive.loading._unpack", full)
    place = tmp_path / "second"
    with pytest.raises(OSError, match="No space left"):
        load(archive, settings, place)
    assert not place.exists()
    assert not Animal.every.exists()


def test_a_photograph_that_is_gone_is_said_and_the_rest_goes_out(archive, settings, tmp_path):
    (gone,) = (settings.MEDIA_ROOT / "photographs").rglob("*-small.jpg")
    gone.unlink()
    without = taken_out()
    said = json.loads(zipfile.ZipFile(io.BytesIO(without)).read(layout.MANIFEST))
    path = f"files/{gone.relative_to(settings.MEDIA_ROOT).as_posix()}"
    assert said["missing_files"] == [path]
    loaded = load(without, settings, tmp_path / "second")
    assert (loaded.missing, loaded.files) == ((path,), 1)
