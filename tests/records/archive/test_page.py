"""The page that takes everything out, for owners."""

import errno
import io
import zipfile

import pytest
from django.urls import reverse

from breeding.records.archive.kinds import KINDS
from tests import cast

pytestmark = pytest.mark.django_db
PAGE, FILE = reverse("records:take_out"), reverse("records:archive")


@pytest.fixture
def home(settings, tmp_path):
    settings.HOME = tmp_path
    return tmp_path


def test_the_page_names_every_table_and_leads_to_the_file(as_owner):
    page = cast.words(as_owner.get(PAGE))
    assert f'action="{FILE}"' in page
    for kind in KINDS:
        assert (f"<dt><code>{kind.name}</code></dt>" in page) is not kind.is_secret
    assert f'href="{PAGE}"' in cast.words(as_owner.get(reverse("program:more")))


def test_the_file_is_an_archive_without_keys(as_owner, home):
    cast.female("Mira")
    answer = as_owner.get(FILE)
    assert answer["Content-Disposition"].startswith('attachment; filename="rayward-20')
    packed = zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content)))
    assert b"Mira" in packed.read("records/animals.csv")
    assert b"password" not in packed.read("records/people.csv").splitlines()[0]
    answer.close()
    assert [*home.iterdir()] == []


def test_taking_out_writes_nothing_down(as_owner, home):
    def file():
        answer = as_owner.get(FILE)
        packed = zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content)))
        return {one.filename: one.CRC for one in packed.infolist() if one.filename[-5:] != ".json"}

    assert file() == file()


@pytest.mark.parametrize("client", ["as_keeper", "as_viewer"])
def test_nobody_else_takes_anything_out(client, request):
    client = request.getfixturevalue(client)
    assert client.get(PAGE).status_code == client.get(FILE).status_code == 403
    assert PAGE not in client.get(reverse("program:more")).content.decode()


def test_a_full_disk_is_said(as_owner, home, monkeypatch):
    def full(*args, **more):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("breeding.records.views.archive.write_archive", full)
    answer = as_owner.get(FILE)
    assert answer.status_code == 507
    assert "The disk is full: there is no room for the file." in answer.content.decode()
    assert [*home.iterdir()] == []
