"""The backup that the running server takes by itself once a day, and the one taken by hand."""

import logging
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils.translation import override

from breeding import home_lock
from breeding.program.backup import rotation, shelf
from breeding.program.backup.problem import BackupError, said_in_words
from breeding.program.backup.shelf import Kept
from breeding.program.backup.writing import back_up
from breeding.program.language.chosen import language_for
from breeding.program.queries import the_program
from breeding.words.language import message, tell, tell_many

HOUR = time(3)  # of the night, by the clock on the wall
TRIED_AGAIN_AFTER = timedelta(hours=1)
OLD_DAYS = 2  # from this age of the newest on, owners are told on the day

log = logging.getLogger(__name__)
_in_this_process = threading.Lock()


class UnderWayError(Exception):
    """A backup is being taken just now."""


def take_daily(now: datetime) -> None:
    """Once after three in the night, or as soon as the server runs again; a failure waits an hour.

    Called every minute, by every process: what stands on the shelf decides whether there is
    anything to do, looked at again once nobody else is at it.
    """
    program = the_program()
    if shelf.shelf() is None or program.is_demo or program._state.adding:
        return
    now = now.astimezone(program.zone)
    if not _is_due(now) or _was_tried_lately(now):
        return
    with suppress(UnderWayError), override(language_for(None, program)):
        try:
            _tried(now, unless=lambda: not _is_due(now))
        except BackupError as problem:
            log.error("The daily backup was not taken. %s", problem)


def take(now: datetime) -> Kept | None:
    """One onto the shelf, now. Raises BackupError, and UnderWayError while another is taken."""
    return _tried(now.astimezone(the_program().zone), unless=lambda: False)


@dataclass(frozen=True)
class Worry:
    """What owners must know of their backups, and since when it is so."""

    words: str
    since: date
    has_failed: bool


def worry(today: date, zone: ZoneInfo) -> Worry | None:
    """None when all is well, or when somebody switched the daily backup off."""
    if shelf.shelf() is None:
        return None
    found, failure = shelf.newest(), shelf.last_failure()
    if failure and (found is None or failure.at > found.made_at):
        words = tell("The last backup could not be taken. {why}", why=failure.words)
        return Worry(words, failure.at.astimezone(zone).date(), has_failed=True)
    made_on = found.made_at.astimezone(zone).date() if found else today
    if (days := (today - made_on).days) >= OLD_DAYS:
        words = tell_many(
            "The newest backup is {number} day old. One is taken each night that the server runs.",
            "The newest backup is {number} days old. One is taken each night that the server runs.",
            days,
        )
        return Worry(words, made_on, has_failed=False)
    return None


def last_hour(now: datetime) -> datetime:
    """The latest three o'clock in the night that has passed, by the clock that `now` is read from.

    >>> last_hour(datetime(2026, 3, 5, 2, 59)), last_hour(datetime(2026, 3, 5, 3, 0))
    (datetime.datetime(2026, 3, 4, 3, 0), datetime.datetime(2026, 3, 5, 3, 0))
    """
    today = now.replace(hour=HOUR.hour, minute=0, second=0, microsecond=0)
    return today if today <= now else today - timedelta(days=1)


def _tried(now: datetime, unless: Callable[[], bool]) -> Kept | None:
    try:
        with _alone():
            return None if unless() else _take(now)
    except BackupError as problem:
        shelf.write_failure(now, str(problem))
        raise


def _take(now: datetime) -> Kept:
    target = shelf.new_file(now)
    manifest = back_up(target, now=now)
    shelf.forget_failure()
    with said_in_words(target.parent, tell("the backup itself is written")):
        _clear_away(now)
    return Kept(target, manifest.moment, target.stat().st_size)


def _clear_away(now: datetime) -> None:
    """What was made before a new version changed the records stays until somebody removes it."""
    local = {one.made_at.astimezone(now.tzinfo): one for one in shelf.on_the_shelf()}
    daily = [moment for moment, one in local.items() if not one.before]
    for moment in set(daily) - rotation.kept(daily):
        local[moment].file.unlink()


@contextmanager
def _alone() -> Iterator[None]:
    """One at a time, in this process and among all processes that share the shelf."""
    place = shelf.shelf_or_home()
    if not _in_this_process.acquire(blocking=False):
        raise UnderWayError
    try:
        with said_in_words(place, tell("no backup was taken")):
            place.mkdir(mode=0o700, parents=True, exist_ok=True)
            try:
                home_lock.take(place, message("a backup of {of}"), of=settings.HOME)
            except home_lock.HomeTakenError:
                raise UnderWayError from None
        yield
    finally:
        home_lock.let_go(place)
        _in_this_process.release()


def _is_due(now: datetime) -> bool:
    found = shelf.newest()
    return found is None or found.made_at < last_hour(now)


def _was_tried_lately(now: datetime) -> bool:
    failure = shelf.last_failure()
    return failure is not None and timedelta(0) <= now - failure.at < TRIED_AGAIN_AFTER
