"""Backing up a running program: database, files and keys as of one moment, in one checked file."""

import contextlib
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection

from breeding import __version__, home_swap
from breeding.home_lock import LOCK_FILE
from breeding.program.backup import postgres, sqlite, tables
from breeding.program.backup.archive import Writing, unpack
from breeding.program.backup.manifest import BESIDE, DATABASES, FILES, Manifest
from breeding.program.backup.problem import BackupError, said_in_words
from breeding.words.language import tell, tell_many
from breeding.words.numbers import figure

PASSING = ".backing-up-"
SPARE_BYTES = 5_000_000
NEVER_BESIDE = {LOCK_FILE, home_swap.MARKER}
NEVER_BESIDE_ENDINGS = (".sqlite3", ".sqlite3-wal", ".sqlite3-shm", ".zip", ".log", ".part")


def back_up(target: Path, *, now: datetime, replace: bool = False) -> Manifest:
    """Write everything into one file and check it by opening it; nothing is left when that fails.

    Writers are not kept waiting. Every file that a row of the database names is in it: the files
    that are there are held by links before the database is copied and those that have come since
    after it, and a file is written before the row that names it, never changed, and at most
    removed. Raises BackupError; an existing file is only replaced when that is asked for.
    """
    target = target.expanduser().absolute()
    if target.is_dir():
        raise BackupError(tell("{file} is a directory; name the file to write.", file=target))
    if target.exists() and not replace:
        raise BackupError(
            tell("{file} is there already; with --replace it is replaced.", file=target)
        )
    if not target.parent.is_dir():
        raise BackupError(tell("There is no directory {place}.", place=target.parent))
    with said_in_words(target.parent, tell("nothing was written")):
        refuse_a_full_disk(target.parent, _bytes_needed(), tell("Nothing was written."))
        with _passing(target.parent) as scratch:
            manifest = _write(scratch, now)
            unpack(scratch / "archive", lambda name: None, scratch / "opened")
            _give_its_name(scratch / "archive", target, replace=replace)
    return manifest


def refuse_a_full_disk(place: Path, needed: int, nothing: str) -> None:
    free = shutil.disk_usage(place).free
    if free < needed:
        raise BackupError(
            tell(
                "Up to {needed} are needed in {place}, and {free} are free. {nothing}",
                needed=megabytes(needed),
                place=place,
                free=megabytes(free),
                nothing=nothing,
            )
        )


def megabytes(size: int) -> str:
    """A size as people read it.

    >>> megabytes(400), megabytes(81_500_000), megabytes(2_340_000_000)
    ('0.1 MB', '81.5 MB', '2.3 GB')
    """
    if size >= 1_000_000_000:
        return f"{figure(size / 1_000_000_000, 1)} GB"
    return f"{figure(max(size / 1_000_000, 0.1), 1)} MB"


def _write(scratch: Path, now: datetime) -> Manifest:
    database = scratch / DATABASES[_kind()]
    with _held_files() as (held, hold_new):
        told = _copy_database(database)
        hold_new()
        with open(os.open(scratch / "archive", os.O_RDWR | os.O_CREAT, 0o600), "r+b") as out:
            writing = Writing(out)
            writing.add(database.name, database)
            for name in names_under(held):
                with contextlib.suppress(FileNotFoundError):  # held by no link, and removed since
                    writing.add(FILES + name, held / name)
            for one in beside(Path(settings.HOME)):
                writing.add(BESIDE + one.name, one)
            named = told.pop("named")
            manifest = Manifest(
                made_at=now.isoformat(timespec="seconds"),
                version=__version__,
                database=_kind(),
                contents=writing.contents,
                missing=[one for one in named if FILES + one not in writing.contents],
                **told,
            )
            writing.close(manifest)
            out.flush()
            os.fsync(out.fileno())
    database.unlink()
    return manifest


def _copy_database(target: Path) -> dict[str, Any]:
    """The database into a file, and what the manifest says of that very state."""
    if _kind() == "postgresql":
        with postgres.one_moment() as (ask, columns, snapshot):
            postgres.dump(target, snapshot)
            return _told(ask, columns, loose=0)
    sqlite.copy(sqlite.database_file(), target)
    with sqlite.asked(target) as (ask, columns):
        return _told(ask, columns, loose=sqlite.check(ask))


def _told(ask: tables.Ask, columns: dict[str, list[str]], *, loose: int) -> dict[str, Any]:
    return {
        "program": tables.program_name(ask, columns),
        "migrations": tables.applied(ask, columns),
        "counted": tables.count_tables(ask, columns),
        "named": tables.files_named(ask, columns),
        "loose": loose,
    }


@contextmanager
def _held_files() -> Iterator[tuple[Path, Callable[[], None]]]:
    """The files under MEDIA_ROOT held by links, so that none is removed before it is copied.

    Where the file system knows no links, the files themselves, as they are found.
    """
    media = Path(settings.MEDIA_ROOT)
    sweep(media.parent)
    held = None
    try:
        if media.is_dir():
            held = Path(tempfile.mkdtemp(prefix=PASSING, dir=media.parent))
            try:
                _link(media, held)
            except OSError:
                shutil.rmtree(held, ignore_errors=True)
                held = None
        yield held or media, partial(_link, media, held) if held else _nothing
    finally:
        if held:
            shutil.rmtree(held, ignore_errors=True)


def _nothing() -> None:
    """Without links there is nothing more to hold."""


def _link(media: Path, held: Path) -> None:
    for name in names_under(media):
        to = held / name
        if not to.exists():
            to.parent.mkdir(parents=True, exist_ok=True)
            with contextlib.suppress(FileNotFoundError):  # removed in this moment
                os.link(media / name, to)


def names_under(folder: Path) -> list[str]:
    return sorted(
        (Path(within) / name).relative_to(folder).as_posix()
        for within, _, names in os.walk(folder)
        for name in names
        if not name.startswith(".")  # what is being written just now
    )


def beside(home: Path) -> list[Path]:
    """The keys, and every other file that lies beside the database; what passes is left out."""
    return sorted(
        one
        for one in home.glob("*")
        if one.is_file()
        and not one.name.startswith(".")
        and one.name not in NEVER_BESIDE
        and not one.name.endswith(NEVER_BESIDE_ENDINGS)
        and ".log" not in one.suffixes
    )


@contextmanager
def _passing(folder: Path) -> Iterator[Path]:
    """A private folder beside the target that is gone afterwards, whatever happens."""
    sweep(folder)
    scratch = Path(tempfile.mkdtemp(prefix=PASSING, dir=folder))
    try:
        yield scratch
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def sweep(folder: Path) -> None:
    """What a backup that was killed has left; one that is being written now is let alone."""
    for left in folder.glob(f"{PASSING}*"):
        with contextlib.suppress(OSError):
            age = datetime.now().timestamp() - left.stat().st_mtime
            if age > 24 * 60 * 60:
                shutil.rmtree(left, ignore_errors=True)


def _give_its_name(passing: Path, target: Path, *, replace: bool) -> None:
    if replace:
        passing.replace(target)
    else:
        try:
            os.link(passing, target)
        except FileExistsError:
            raise BackupError(
                tell("{file} has come to be meanwhile; it was let alone.", file=target)
            ) from None
        except OSError:  # a file system without links
            passing.replace(target)
    home_swap.sync(target.parent)


def _bytes_needed() -> int:
    """The database twice, for its copy is opened again to be checked, and every file once."""
    media = Path(settings.MEDIA_ROOT)
    files = sum(_size(media / name) for name in names_under(media))
    return 2 * _database_bytes() + files + SPARE_BYTES


def _database_bytes() -> int:
    if _kind() == "postgresql":
        return postgres.size()
    file = sqlite.database_file()
    return sum(_size(file.with_name(file.name + ending)) for ending in ("", "-wal"))


def _size(file: Path) -> int:
    with contextlib.suppress(OSError):
        return file.stat().st_size
    return 0


def _kind() -> Any:
    if connection.vendor not in DATABASES:
        raise BackupError(f"A database of the kind {connection.vendor} cannot be backed up here.")
    return connection.vendor


def words_of(manifest: Manifest, size: int) -> str:
    """What is in a backup, in one sentence."""
    return tell(
        "{rows} and {files}, {size}",
        rows=tell_many("{number} row", "{number} rows", manifest.rows),
        files=tell_many("{number} file", "{number} files", len(manifest.files)),
        size=megabytes(size),
    )
