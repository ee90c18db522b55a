"""A backup every night: once, tried again when it fails, kept by days, weeks and months."""

import datetime
import logging
import threading

import pytest

from breeding import home_lock
from breeding.program.backup import daily, rotation, shelf
from breeding.program.backup.problem import BackupError
from tests import cast

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database("what stands on the shelf decides, not the database"),
]
UTC = datetime.UTC
NIGHT = datetime.datetime(2026, 3, 5, 3, 0, tzinfo=UTC)
HOUR = datetime.timedelta(hours=1)
DAY = datetime.timedelta(days=1)


@pytest.fixture
def written(settings, tmp_path, monkeypatch):
    """The program is set up; a backup is an empty file, so that a year of nights takes a moment."""
    cast.the_program()
    settings.HOME, settings.BACKUPS = tmp_path, tmp_path / "backups"
    found = []

    def write(target, *, now, replace=False):
        target.write_bytes(b"")
        found.append(now)
        return type("Manifest", (), {"moment": now})

    monkeypatch.setattr(daily, "back_up", write)
    return found


@pytest.fixture
def failing(written, monkeypatch):
    tried = []

    def fail(target, *, now, replace=False):
        tried.append(now)
        raise BackupError("The disk of /there is full; nothing was written.")

    monkeypatch.setattr(daily, "back_up", fail)
    return tried


def test_it_is_taken_once_a_night_however_often_it_is_asked(written):
    for minutes in range(0, 3 * 24 * 60, 10):
        daily.take_daily(NIGHT + datetime.timedelta(minutes=minutes))
    assert written == [NIGHT, NIGHT + DAY, NIGHT + 2 * DAY]


def test_three_in_the_night_is_by_the_clock_on_the_wall(written):
    cast.the_program(time_zone="America/New_York")
    daily.take_daily(NIGHT)
    daily.take_daily(NIGHT + 4 * HOUR)
    assert len(written) == 1
    daily.take_daily(NIGHT + 5 * HOUR)
    assert len(written) == 2


def test_a_server_that_was_off_at_night_takes_it_when_it_runs_again(written):
    daily.take_daily(NIGHT)
    daily.take_daily(NIGHT + 2 * DAY + 9 * HOUR)
    assert written == [NIGHT, NIGHT + 2 * DAY + 9 * HOUR]


def test_none_is_taken_when_it_is_switched_off_or_of_the_demo(written, settings):
    settings.BACKUPS = None
    daily.take_daily(NIGHT)
    settings.BACKUPS = settings.HOME / "backups"
    cast.the_program(is_demo=True)
    daily.take_daily(NIGHT)
    assert written == []


def test_one_that_fails_is_tried_again_after_an_hour_and_said(failing, caplog):
    caplog.set_level(logging.ERROR)
    for minutes in range(125):
        daily.take_daily(NIGHT + datetime.timedelta(minutes=minutes))
    assert failing == [NIGHT, NIGHT + HOUR, NIGHT + 2 * HOUR]
    assert "The daily backup was not taken. The disk of /there is full" in caplog.text
    found = daily.worry(NIGHT.date(), datetime.UTC)
    assert found is not None
    assert found.words == (
        "The last backup could not be taken. The disk of /there is full; nothing was written."
    )


def test_one_that_succeeds_ends_the_worry(failing, written, monkeypatch):
    daily.take_daily(NIGHT)
    assert daily.worry(NIGHT.date(), datetime.UTC)
    monkeypatch.setattr(
        daily, "back_up", lambda target, *, now: target.touch() or type("M", (), {"moment": now})
    )
    daily.take(NIGHT + HOUR)
    assert daily.worry(NIGHT.date(), datetime.UTC) is None


def test_a_shelf_that_cannot_be_made_is_said_and_not_tried_every_minute(written, settings, caplog):
    settings.BACKUPS = settings.HOME / "file" / "under"
    (settings.HOME / "file").write_text("in the way")
    for minutes in range(50):
        daily.take_daily(NIGHT + datetime.timedelta(minutes=minutes))
    assert len(caplog.records) == 1
    found = daily.worry(NIGHT.date(), datetime.UTC)
    assert found is not None
    assert "no backup was taken" in found.words


@pytest.mark.parametrize(("days", "worries"), [(0, False), (1, False), (2, True), (9, True)])
def test_owners_are_told_when_none_is_younger_than_two_days(written, days, worries):
    daily.take(NIGHT)
    found = daily.worry((NIGHT + days * DAY).date(), datetime.UTC)
    assert (found is not None) is worries
    if found:
        assert f"{days} days old" in found.words


def test_two_at_once_take_one(written, settings, monkeypatch):
    inside, go_on = threading.Event(), threading.Event()
    write = daily.back_up

    def slow(target, *, now):
        inside.set()
        assert go_on.wait(60)
        return write(target, now=now)

    monkeypatch.setattr(daily, "back_up", slow)
    program = daily.the_program()  # the thread has a connection of its own, which sees nothing
    monkeypatch.setattr(daily, "the_program", lambda: program)
    first = threading.Thread(target=daily.take, args=(NIGHT,))
    first.start()
    assert inside.wait(60)
    with pytest.raises(daily.UnderWayError):
        daily.take(NIGHT + HOUR)
    daily.take_daily(NIGHT + HOUR)
    go_on.set()
    first.join()
    assert written == [NIGHT]


def test_another_process_that_takes_one_is_left_to_it(written, settings, monkeypatch):
    def taken(*_, **__):
        raise home_lock.HomeTakenError("by another process")

    monkeypatch.setattr(home_lock, "take", taken)
    daily.take_daily(NIGHT)
    assert written == []
    with pytest.raises(daily.UnderWayError):
        daily.take(NIGHT)


def test_a_year_of_nights_leaves_a_week_a_month_and_a_year(written):
    for night in range(400):
        daily.take(NIGHT + night * DAY)
    kept = sorted(one.made_at for one in shelf.on_the_shelf())
    last = NIGHT + 399 * DAY
    assert kept[-rotation.DAYS :] == [last - day * DAY for day in range(6, -1, -1)]
    assert len({(one.year, one.month) for one in kept}) == rotation.MONTHS
    assert rotation.DAYS < len(kept) <= rotation.DAYS + rotation.WEEKS + rotation.MONTHS


def test_what_was_made_before_an_upgrade_or_by_hand_elsewhere_is_never_cleared(written, settings):
    settings.BACKUPS.mkdir()
    names = ("before-0.2.0-20200101T000000Z.zip", "rays.zip", "notes.txt")
    for name in names:
        (settings.BACKUPS / name).write_bytes(b"kept")
    for night in range(10):
        daily.take(NIGHT + night * DAY)
    assert all((settings.BACKUPS / name).exists() for name in names)
    assert [one.before for one in shelf.on_the_shelf() if one.before] == ["0.2.0"]


def test_the_real_one_stands_on_the_shelf_and_is_private(home):
    cast.the_program()
    daily.take_daily(NIGHT)
    (one,) = shelf.on_the_shelf()
    assert one.file.name == "rayward-20260305T030000Z.zip"
    assert one.file.stat().st_mode & 0o777 == 0o600
    assert (home / "backups").stat().st_mode & 0o777 == 0o700
