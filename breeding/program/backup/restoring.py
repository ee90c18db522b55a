"""Putting a backup back: looked at whole first, told what it changes, then all or nothing."""

import contextlib
import secrets
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from breeding import __version__, home_lock, home_swap
from breeding.home_swap import PASSING, Swap
from breeding.program.backup import postgres, sqlite, tables, writing
from breeding.program.backup.archive import look_into, unpack
from breeding.program.backup.manifest import BESIDE, FILES, Counted, Manifest
from breeding.program.backup.problem import BackupError, said_in_words
from breeding.words.language import message, tell

NOTHING = message("Nothing was changed.")
NOT_TOLD = {  # tables of which no keeper knows
    *(f"finding_words{part}" for part in ("", "_config", "_data", "_docsize", "_idx")),
    *("django_session", "django_migrations", "django_content_type", "auth_permission"),
    *(
        "program_signinlink",
        "finding_built",
        "finding_entry",
        "animals_revision",
        "otp_static_staticdevice",
        "django_admin_log",
        "auth_group",
        "auth_group_permissions",
        "sqlite_sequence",
    ),
}


@dataclass(frozen=True)
class Change:
    """One kind of record, now and then; None where it is not there."""

    name: str
    now: Counted | None
    then: Counted | None


@dataclass(frozen=True)
class Plan:
    """What a restore would do. damaged: why the records as they are cannot be counted."""

    manifest: Manifest
    changes: list[Change]
    files_now: int
    overwrites: list[str]
    damaged: str = ""


def plan_restore(archive: Path) -> Plan:
    """What it would change, from what the backup says of itself; refuses what does not fit here."""
    with said_in_words(archive, tell("nothing was changed")):
        manifest = look_into(archive)
    _refuse_what_does_not_fit(manifest)
    now: list[Counted] = []
    damaged = ""
    try:
        now = _counted_now()
    except BackupError as problem:
        damaged = str(problem)
    media = Path(settings.MEDIA_ROOT)
    return Plan(
        manifest,
        _changes(now, manifest.counted),
        len(writing.names_under(media)),
        _overwritten(now),
        damaged,
    )


def restore(archive: Path, *, now: datetime, today: date, replace: bool) -> Path | None:
    """Put it back, and say where what was there has been put aside; None when nothing was there.

    Everything is unpacked and checked beside what is there first. A kill at any moment leaves the
    old or the new: see breeding/home_swap.py. Raises BackupError, with nothing changed.
    """
    place = Path(settings.HOME)
    try:
        with said_in_words(place, tell("nothing was changed")):
            place.mkdir(mode=0o700, parents=True, exist_ok=True)
            with home_lock.taken(place, message("a restore")):
                plan = plan_restore(archive)
                if plan.overwrites and not replace:
                    raise BackupError(
                        tell(
                            "In {place} there are {found}. With --replace they are put aside, and "
                            "the backup takes their place. {nothing}",
                            place=place,
                            found=", ".join(plan.overwrites),
                            nothing=tell(NOTHING),
                        )
                    )
                return _put_back(archive, plan.manifest, place, now=now, today=today)
    except home_lock.HomeTakenError as taken:
        raise BackupError(f"{taken} {tell(NOTHING)}") from None


def _put_back(
    archive: Path, manifest: Manifest, place: Path, *, now: datetime, today: date
) -> Path | None:
    home_swap.sweep(place)
    needed = sum(one.size for one in manifest.contents.values()) + writing.SPARE_BYTES
    writing.refuse_a_full_disk(place, needed, tell(NOTHING))
    with _ready(place) as ready:
        unpack(archive, lambda name: _place_of(name, manifest, ready), ready)
        (ready / "files").mkdir(mode=0o700, exist_ok=True)
        aside = _free_name(place, f"replaced-{today.isoformat()}")
        connection.close()
        swap = _swap(manifest, place, ready, aside)
        if manifest.database == "postgresql":
            _keep_database_aside(place / aside, now)
        else:
            _refuse_when_open(sqlite.database_file())
        home_swap.begin(place, swap)
        if manifest.database == "postgresql":
            _put_database_back(place, ready / manifest.database_member, swap.token)
        _finish(place)
    kept = place / aside
    if not any(kept.iterdir()):
        kept.rmdir()
        return None
    return kept


def _put_database_back(place: Path, dump: Path, token: str) -> None:
    try:
        postgres.put_back(dump, token)
    except BaseException:
        _finish(place)
        raise


def _finish(place: Path) -> None:
    """From here on nothing is taken back: what the system refuses now is done at the next start."""
    try:
        home_swap.finish(place, postgres.took)
    except OSError as problem:
        raise BackupError(
            tell(
                "It is begun and not finished: {why}. Mend that; the next command on {place} "
                "finishes it before it does anything else.",
                why=problem,
                place=place,
            )
        ) from problem


def _swap(manifest: Manifest, place: Path, ready: Path, aside: str) -> Swap:
    coming = ["files", *manifest.beside]
    leaving = [one.name for one in writing.beside(place)]
    if manifest.database == "sqlite":
        name = sqlite.database_file().name
        leaving = [f"{name}-wal", f"{name}-shm", *leaving]
        coming = [name, *coming]
    token = secrets.token_hex(16) if manifest.database == "postgresql" else ""
    return Swap(ready.name, aside, leaving, coming, token)


def _place_of(name: str, manifest: Manifest, ready: Path) -> Path | None:
    """Under `ready` everything is called as it will be called in the directory."""
    if name == manifest.database_member:
        is_file = manifest.database == "sqlite"
        return ready / (sqlite.database_file().name if is_file else name)
    if name.startswith(FILES):
        return ready / "files" / name.removeprefix(FILES)
    return ready / name.removeprefix(BESIDE)


def _refuse_what_does_not_fit(manifest: Manifest) -> None:
    if manifest.database != connection.vendor:
        raise BackupError(
            tell(
                "This backup is of a database of {other}, and this program uses {own}: a backup "
                "goes back to where it came from, an export goes anywhere. {nothing}",
                other=manifest.database,
                own=connection.vendor,
                nothing=tell(NOTHING),
            )
        )
    place = Path(settings.HOME)
    if Path(settings.MEDIA_ROOT) != place / "files" or (
        manifest.database == "sqlite" and sqlite.database_file().parent != place
    ):
        raise BackupError(
            tell(
                "The database or the files lie outside {place} (RAYWARD_DATABASE?): what is put "
                "back as one must lie in one directory. {nothing}",
                place=place,
                nothing=tell(NOTHING),
            )
        )
    known = MigrationLoader(None).disk_migrations
    later = [
        f"{room} {name}"
        for room, names in manifest.migrations.items()
        for name in names
        if (room, name) not in known
    ]
    if later:
        raise BackupError(
            tell(
                "Its records are of a version that this one ({own}) does not know; it was made by "
                "version {other} (unknown here: {unknown}). Install that version, or a later one. "
                "{nothing}",
                own=__version__,
                other=manifest.version,
                unknown=", ".join(later[:3]),
                nothing=tell(NOTHING),
            )
        )


def _counted_now() -> list[Counted]:
    if connection.vendor == "postgresql":
        with postgres.one_moment() as (ask, columns, _):
            return tables.count_tables(ask, columns)
    file = sqlite.database_file()
    if not file.exists():
        return []
    with sqlite.asked(file) as (ask, columns):
        return tables.count_tables(ask, columns)


def _changes(now: list[Counted], then: list[Counted]) -> list[Change]:
    before = {one.table: one for one in now}
    after = {one.table: one for one in then}
    return [
        Change((after.get(table) or before[table]).name, before.get(table), after.get(table))
        for table in sorted({**before, **after})
        if table not in NOT_TOLD
        and any(one and one.rows for one in (before.get(table), after.get(table)))
    ]


def _overwritten(now: list[Counted]) -> list[str]:
    """What is there already, in words; empty for a directory that holds nothing yet."""
    place = Path(settings.HOME)
    found = [one.name for one in writing.beside(place)]
    if connection.vendor == "sqlite" and sqlite.database_file().exists():
        found.insert(0, sqlite.database_file().name)
    elif now:
        found.insert(0, tell("a database with tables"))
    if any((place / "files").glob("*")):
        found.append(tell("files"))
    return found


def _refuse_when_open(file: Path) -> None:
    """Nobody writes into a file that is being put aside; a damaged one is put aside as it is."""
    if not file.exists():
        return
    with closing(sqlite3.connect(file, timeout=1, isolation_level=None)) as database:
        try:
            database.execute("PRAGMA journal_mode=DELETE")
        except sqlite3.OperationalError as problem:
            if "locked" in str(problem):
                raise BackupError(
                    tell(
                        "{file} is open in another process: stop every server and command that "
                        "works on it. {nothing}",
                        file=file,
                        nothing=tell(NOTHING),
                    )
                ) from None
        except sqlite3.DatabaseError:
            return


def _keep_database_aside(aside: Path, now: datetime) -> None:
    """The database outside cannot be moved; it is backed up whole, with its files."""
    aside.mkdir(mode=0o700)
    with postgres.one_moment() as (_, columns, _snapshot):
        is_empty = not columns
    if not is_empty:
        writing.back_up(aside / "before.zip", now=now)


@contextmanager
def _ready(place: Path) -> Iterator[Path]:
    ready = Path(tempfile.mkdtemp(prefix=PASSING, dir=place))
    try:
        yield ready
    finally:
        if not home_swap.is_begun(place):
            shutil.rmtree(ready, ignore_errors=True)


def _free_name(place: Path, name: str) -> str:
    names = [name, *(f"{name}-{number}" for number in range(2, 1000))]
    with contextlib.suppress(StopIteration):
        return next(one for one in names if not (place / one).exists())
    raise BackupError(
        tell(
            "{place} is full of what was put aside; clear it. {nothing}",
            place=place,
            nothing=tell(NOTHING),
        )
    )
