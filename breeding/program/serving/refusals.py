"""What stands against a start, in words: each says what is the matter and what to do."""

import errno
import os
import tempfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from django.core.management import CommandError
from django.db import connection

from breeding import __version__, home
from breeding.program.serving import database
from breeding.words.language import tell
from breeding.words.system import why_refused

ROOM_BYTES = 1_000_000  # what a start writes beside the records: a page or two, and the statics
DISK_ERRORS = (errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EACCES, errno.EPERM, errno.EIO)


@dataclass(frozen=True)
class Asked:
    """What the person who starts has said about a lost key for sheets."""

    home: Path
    new_sheet_key: bool = False
    without_signing: bool = False


Check = Callable[[Asked], object]
_checks: dict[str, Check] = {}


def before_serving(name: str, check: Check) -> None:
    """Called once by a room above, in its AppConfig.ready; the check raises CommandError."""
    _checks[name] = check


def check_the_home(place: Path) -> None:
    """Raise CommandError when the directory cannot be written, or holds half of a program."""
    try:
        _try_to_write(place)
    except OSError as problem:
        raise CommandError(disk_words(place, problem)) from None
    if connection.vendor == "sqlite" and _is_without_its_database(place):
        raise CommandError(
            tell(
                "{place} holds photographs or papers, and no database beside them: half of a "
                "program. Put {file} back from a backup, or name another directory with --home.",
                place=place,
                file=home.DATABASE_FILE,
            )
        )


def check_the_database() -> None:
    """Raise CommandError for one that is damaged, only half there, or of a newer version."""
    if wrong := database.damage():
        raise CommandError(
            tell(
                "The database is damaged, and nothing was changed in it: {wrong}. Restore a "
                "backup; keep a copy of what is there now. {where}",
                wrong=wrong,
                where=_whereabouts(),
            )
        )
    if newer := database.unknown_migrations():
        raise CommandError(
            tell(
                "A newer version of Rayward has worked on this database; this one ({version}) "
                "would not understand it: {steps}. Start the newer version, or restore a backup "
                "from before. {where}",
                version=__version__,
                steps=database.some_of(newer),
                where=_whereabouts(),
            )
        )


def check_it_is_whole() -> None:
    """Raise CommandError when tables are missing that this version should find."""
    if lost := database.missing():
        raise CommandError(
            tell(
                "Half of the database is missing: {lost}. Restore a backup; keep a copy of what is "
                "there now. {where}",
                lost=database.some_of(lost),
                where=_whereabouts(),
            )
        )


def ask_the_rooms(asked: Asked) -> None:
    """Raise CommandError when a room says that it must not be served like this."""
    for check in _checks.values():
        check(asked)


def disk_words(place: Path, problem: OSError) -> str:
    """Why nothing can be written there, and what to do."""
    if problem.errno in (errno.ENOSPC, errno.EDQUOT):
        return tell(
            "The disk under {place} is full; nothing was changed. Make room, then start again.",
            place=place,
        )
    if problem.errno == errno.EROFS:
        return tell(
            "{place} can only be read, not written; nothing was changed. Is the disk in order?",
            place=place,
        )
    return tell(
        "{place} cannot be written: {why}. It must belong to whoever starts the program.",
        place=place,
        why=why_refused(problem),
    )


def _try_to_write(place: Path) -> None:
    with tempfile.TemporaryFile(dir=place) as probe:
        probe.write(b"\0" * ROOM_BYTES)
        probe.flush()
        os.fsync(probe.fileno())


def _is_without_its_database(place: Path) -> bool:
    name = Path(str(connection.settings_dict["NAME"]))
    with suppress(OSError):
        if name.exists() and name.stat().st_size:
            return False
    files = place / "files"
    return files.is_dir() and any(path.is_file() for path in files.rglob("*"))


def _whereabouts() -> str:
    name = connection.settings_dict["NAME"]
    if connection.vendor == "sqlite":
        return tell("It is {file}.", file=name)
    return tell("It is the database {name}.", name=name)
