"""Files are kept whole or not at all, and go with the act that they were written in."""

import errno
import stat
from io import BytesIO
from pathlib import Path

import pytest
from django.core.files.base import ContentFile, File
from django.core.files.storage import default_storage
from django.db import OperationalError
from django.test import Client
from PIL import Image

from breeding.animals.models import Photograph
from tests import cast


class Torn(File):
    """A file of which only a part finds room."""

    def chunks(self, chunk_size=None):
        yield b"first half"
        raise OSError(errno.ENOSPC, "No space left on device")


def there() -> list[str]:
    top = Path(default_storage.location)
    return sorted(str(one.relative_to(top)) for one in top.rglob("*") if one.is_file())


def read(name: str) -> bytes:
    return Path(default_storage.path(name)).read_bytes()


def a_picture() -> BytesIO:
    out = BytesIO()
    Image.new("RGB", (400, 300), "teal").save(out, "JPEG")
    out.seek(0)
    out.name = "ray.jpg"
    return out


def test_a_file_is_there_whole_and_private():
    name = default_storage.save("a/b.txt", ContentFile(b"whole"))
    assert read(name) == b"whole"
    assert stat.S_IMODE(Path(default_storage.path(name)).stat().st_mode) == 0o600
    assert there() == [name]


def test_a_file_that_finds_no_room_leaves_nothing():
    with pytest.raises(OSError, match="No space left"):
        default_storage.save("a/b.txt", Torn(BytesIO()))
    assert there() == []


def test_two_of_one_name_are_two_files():
    names = {default_storage.save("a/b.txt", ContentFile(str(n).encode())) for n in range(3)}
    assert len(names) == 3
    assert {read(one) for one in names} == {b"0", b"1", b"2"}


def test_somebody_who_was_quicker_keeps_the_name(monkeypatch):
    first = default_storage.save("a/b.txt", ContentFile(b"first"))
    storage = type(default_storage._wrapped)()
    taken = iter([first])
    free = storage.get_available_name
    monkeypatch.setattr(
        storage, "get_available_name", lambda name, **_: next(taken, None) or free(name)
    )
    second = storage.save("a/b.txt", ContentFile(b"second"))
    assert read(first) == b"first"
    assert read(second) == b"second"


@pytest.mark.django_db
def test_a_photograph_whose_record_finds_no_room_leaves_no_file(as_owner, monkeypatch):
    mira = cast.female("Mira")

    def full(*_, **__):
        raise OperationalError("database or disk is full")

    monkeypatch.setattr(Photograph, "save", full)
    door = f"/animals/{mira.pk}/photograph/"
    page = as_owner.post(door, {"file": a_picture()})
    assert page.status_code == 507
    assert "The disk is full; nothing was saved" in page.content.decode()
    assert there() == []


@pytest.mark.django_db(transaction=True)
def test_a_photograph_that_was_taken_stays(species_data):
    client = Client()
    client.force_login(cast.owner())
    mira = cast.female("Mira")
    page = client.post(f"/animals/{mira.pk}/photograph/", {"file": a_picture()})
    assert page.status_code == 302
    photograph = Photograph.objects.get()
    assert there() == sorted([photograph.picture.name, photograph.thumbnail.name])
