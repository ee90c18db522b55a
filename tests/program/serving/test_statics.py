"""What browsers are sent beside pages is collected and packed where it is another, else left."""

import gzip
import json

import pytest
from django.conf import settings as project

from breeding.program.serving import statics

pytestmark = pytest.mark.one_database("files for browsers")

PACKED = {
    "default": project.STORAGES["default"],
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}


@pytest.fixture
def source(tmp_path, settings):
    """A directory with one style sheet, and where it is collected to."""
    folder = tmp_path / "source"
    folder.mkdir()
    (folder / "look.css").write_text("p { margin: 0 }\n" * 40)
    settings.STATICFILES_DIRS, settings.STATIC_ROOT = [folder], tmp_path / "static"
    settings.STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.FileSystemFinder"]
    settings.STORAGES = PACKED
    return folder


@pytest.fixture
def collected(monkeypatch):
    """How often everything was collected."""
    times, really = [], statics.call_command
    monkeypatch.setattr(
        statics, "call_command", lambda *of, **more: times.append(of) or really(*of, **more)
    )
    return times


def named(root):
    """The name by its content."""
    return json.loads((root / "staticfiles.json").read_text())["paths"]["look.css"]


def test_a_file_is_named_by_its_content_and_lies_packed_beside_itself(source, settings, collected):
    statics.put_in_place()
    file = settings.STATIC_ROOT / named(settings.STATIC_ROOT)
    packed = file.with_name(file.name + ".gz")
    assert gzip.decompress(packed.read_bytes()) == file.read_bytes()
    assert packed.stat().st_size < file.stat().st_size


def test_a_second_start_leaves_everything_as_it_is(source, settings, collected):
    statics.put_in_place()
    statics.put_in_place()
    assert len(collected) == 1


def test_another_file_is_collected(source, settings, collected):
    statics.put_in_place()
    before = named(settings.STATIC_ROOT)
    (source / "look.css").write_text("p { margin: 1px }\n" * 40)
    statics.put_in_place()
    assert len(collected) == 2
    assert named(settings.STATIC_ROOT) != before


@pytest.mark.parametrize(
    "spoil",
    [
        lambda root: (root / named(root)).unlink(),
        lambda root: (root / f"{named(root)}.gz").write_bytes(b""),
        lambda root: (root / statics.MARK).unlink(),
        lambda root: (root / statics.MARK).write_bytes(b"\xff"),
        lambda root: (root / "staticfiles.json").unlink(),
    ],
)
def test_what_was_damaged_meanwhile_is_made_good(source, settings, collected, spoil):
    root = settings.STATIC_ROOT
    statics.put_in_place()
    spoil(root)
    statics.put_in_place()
    assert len(collected) == 2
    file = root / named(root)
    assert gzip.decompress((root / f"{file.name}.gz").read_bytes()) == file.read_bytes()


def test_another_version_of_what_packs_them_collects_them_anew(
    source, settings, collected, monkeypatch
):
    statics.put_in_place()
    monkeypatch.setattr(statics, "version", lambda package: "99.0")
    statics.put_in_place()
    assert len(collected) == 2
