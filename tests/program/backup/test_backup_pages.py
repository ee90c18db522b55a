"""Owners take a backup, carry it away, and are told on the day when there is none lately."""

import datetime

import pytest
from django.urls import reverse

from breeding.agenda.queries import the_day
from breeding.program import clock
from breeding.program.backup import daily, shelf
from breeding.program.backup.problem import BackupError
from breeding.program.queries import the_program
from tests import cast

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database("files of SQLite; tests/program/backup/test_drill.py is on both"),
]
BACKUPS = reverse("program:backups")
DAY = datetime.timedelta(days=1)


@pytest.fixture(autouse=True)
def _set_up(home):
    cast.the_program()


def lines(**asked):
    return [
        one
        for one in the_day(the_program(), today=clock.today(), **asked).lines
        if one.kind.key == "backup_old"
    ]


def test_an_owner_takes_one_and_carries_it_away(as_owner):
    page = as_owner.get(BACKUPS).content.decode()
    assert "There is none yet." in page
    token = page.partition('name="once" value="')[2].partition('"')[0]
    answer = as_owner.post(BACKUPS, {"once": token}, follow=True)
    page = answer.content.decode()
    (one,) = shelf.on_the_shelf()
    assert f"Backed up and checked: {one.file.name}" in page
    assert ", today" in page
    assert "Undo" not in page.partition("</h1>")[0]
    carried = as_owner.get(reverse("program:backup", args=[one.file.name]))
    assert b"".join(carried.streaming_content) == one.file.read_bytes()
    assert carried.headers["Content-Disposition"] == f'attachment; filename="{one.file.name}"'
    assert carried.headers["Cache-Control"] == "private, no-store"


def test_the_same_form_twice_takes_one(as_owner):
    page = as_owner.get(BACKUPS).content.decode()
    token = page.partition('name="once" value="')[2].partition('"')[0]
    as_owner.post(BACKUPS, {"once": token})
    again = as_owner.post(BACKUPS, {"once": token}, follow=True).content.decode()
    assert "It was sent before" in again
    assert len(shelf.on_the_shelf()) == 1


@pytest.mark.parametrize("name", ["..", "secret_key", "../secret_key", "rayward.sqlite3", "x.zip"])
def test_nothing_but_backups_can_be_carried_away(as_owner, name):
    daily.take(clock.now())
    assert as_owner.get(f"{BACKUPS}{name}").status_code == 404


def test_one_that_fails_is_said_on_the_page(as_owner, monkeypatch):
    def fail(*_, **__):
        raise BackupError("The disk of /there is full; nothing was written.")

    monkeypatch.setattr(daily, "back_up", fail)
    page = as_owner.post(BACKUPS, follow=True).content.decode()
    assert "No backup was taken. The disk of /there is full" in page
    assert "The last backup could not be taken." in page


def test_one_that_is_being_taken_is_said(as_owner, monkeypatch):
    def under_way(_):
        raise daily.UnderWayError

    monkeypatch.setattr(daily, "take", under_way)
    assert "is being taken just now" in as_owner.post(BACKUPS, follow=True).content.decode()


def test_the_page_says_where_they_are_and_that_it_is_the_same_disk(as_owner, home, settings):
    page = " ".join(as_owner.get(BACKUPS).content.decode().split())
    assert str(home / "backups") in page
    assert "They are on the same disk as the program" in page
    settings.BACKUPS = None
    assert "The daily backup is switched off" in as_owner.get(BACKUPS).content.decode()


def test_the_day_tells_owners_alone_that_the_newest_is_old(as_owner, as_keeper):
    assert lines(for_owner=True) == []
    daily.take(clock.now() - 3 * DAY)
    (line,) = lines(for_owner=True)
    assert (line.who, line.what) == ("Backups", "see that one is taken")
    assert "The newest backup is 3 days old." in line.why
    assert lines() == []
    shown = as_owner.get(reverse("agenda:day")).content.decode()
    assert f'<a href="{BACKUPS}" aria-label="Open the page of Backups">' in shown
    assert "newest backup" not in as_keeper.get(reverse("agenda:day")).content.decode()
    daily.take(clock.now())
    assert lines(for_owner=True) == []


def test_the_line_is_answered_like_any_other(as_owner):
    daily.take(clock.now() - 3 * DAY)
    (line,) = lines(for_owner=True)
    page = as_owner.post(reverse("agenda:answer"), {"key": line.key, "done": "1"}, follow=True)
    assert page.status_code == 200
    assert lines(for_owner=True) == []
