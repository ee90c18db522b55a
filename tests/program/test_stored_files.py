"""An uploaded file is on the disk, whole and under a free name, before its row is."""

import os

from django.core.files.base import ContentFile

from breeding.program.stored_files import FilesOnDisk


def test_file_and_folders_are_on_the_disk_before_it_is_named(tmp_path, monkeypatch):
    synced, fsync = [], os.fsync

    def noted(handle):
        synced.append(os.fstat(handle).st_ino)
        fsync(handle)

    monkeypatch.setattr(os, "fsync", noted)
    name = FilesOnDisk(location=tmp_path).save("photographs/2026/a.jpg", ContentFile(b"a ray"))
    assert name == "photographs/2026/a.jpg"
    folder = tmp_path / "photographs"
    places = (folder / "2026/a.jpg", folder / "2026", folder)
    assert synced == [place.stat().st_ino for place in places]


def test_a_file_is_never_written_over(tmp_path):
    files = FilesOnDisk(location=tmp_path)
    first, second = (files.save("a.jpg", ContentFile(one)) for one in (b"first", b"second"))
    assert first != second
    assert (tmp_path / first).read_bytes() == b"first"
