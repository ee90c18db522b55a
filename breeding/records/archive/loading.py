"""An empty program filled from an archive: all of it, or nothing."""

import datetime
import os
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.contrib.contenttypes.models import ContentType
from django.core.management import call_command
from django.db import DataError, IntegrityError, connection, models, transaction
from django.db.models import sql

from breeding.animals import revisions
from breeding.program.models import SignInLink
from breeding.records.archive import layout, upgrading
from breeding.records.archive.cells import CellError, read
from breeding.records.archive.columns import Column, named
from breeding.records.archive.consistent import go_on_counting, refuse_what_points_nowhere
from breeding.records.archive.emptiness import (
    refuse_unless_empty,
    take_away_what_comes_with_the_tool,
)
from breeding.records.archive.kinds import KINDS
from breeding.records.archive.kinds.kind import Kind
from breeding.records.archive.reading import Archive, ArchiveError, opened, paths
from breeding.words.language import tell

ROWS_AT_ONCE = 400


@dataclass
class Loaded:
    """What came of an archive."""

    with_keys: bool
    made_at: datetime.datetime
    rows: int = 0
    files: int = 0
    missing: tuple[str, ...] = ()
    named_files: set[str] = field(default_factory=set)


def load_archive(place: Path) -> Loaded:
    """Make the empty program of this home the one of the archive. All or nothing.

    Raises ArchiveError, and leaves the home as it was.
    """
    home_place = Path(settings.HOME)
    with opened(place) as archive:
        was_there = home_place.exists()
        archive.check_sums()
        try:
            home_place.mkdir(mode=0o700, parents=True, exist_ok=True)
            refuse_unless_empty(archive)
            _refuse_too_large(archive, home_place)
            call_command("migrate", verbosity=0, interactive=False)
            return _load(archive, home_place)
        except BaseException:
            if not was_there:
                shutil.rmtree(home_place, ignore_errors=True)
            raise


def _refuse_too_large(archive: Archive, place: Path) -> None:
    free = shutil.disk_usage(place).free
    if archive.size > free:
        raise ArchiveError(
            tell(
                "Unpacked it has {number} bytes, and {free} are free at {place}.",
                number=archive.size,
                free=free,
                place=place,
            )
        )


def _load(archive: Archive, place: Path) -> Loaded:
    """Rows in one transaction; files are laid beside it, and moved to their place after it."""
    with tempfile.TemporaryDirectory(dir=place, prefix=".arriving-") as passing:
        try:
            with transaction.atomic():
                loaded = _write_rows(archive)
                _unpack(archive, Path(passing))
        except BaseException:
            ContentType.objects.clear_cache()
            raise
        _move(Path(passing))
    revisions.taken_back()
    return loaded


# --------------------------------------------------------------------------------------- files


def _unpack(archive: Archive, passing: Path) -> None:
    for entry in (*archive.files, *archive.keys):
        place = passing / entry.path
        place.parent.mkdir(parents=True, exist_ok=True)
        with os.fdopen(os.open(place, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
            archive.copy(entry, out)
            out.flush()
            os.fsync(out.fileno())


def _move(passing: Path) -> None:
    files, keys = passing / layout.FILES, passing / layout.KEYS
    if files.exists():
        to = Path(settings.MEDIA_ROOT)
        to.parent.mkdir(parents=True, exist_ok=True)
        if to.exists():
            to.rmdir()  # it is empty
        os.rename(files, to)
    for key in sorted(keys.iterdir()) if keys.exists() else ():
        os.replace(key, Path(settings.HOME) / key.name)


# ---------------------------------------------------------------------------------------- rows


def _write_rows(archive: Archive) -> Loaded:
    manifest = archive.manifest
    made_at = datetime.datetime.fromisoformat(manifest.made_at)
    loaded = Loaded(manifest.with_keys, made_at, files=len(archive.files), missing=manifest.missing)
    take_away_what_comes_with_the_tool()
    SignInLink.objects.all().delete()  # one would make an owner's account, and there are people now
    for entry in archive.tables:
        _write_table(archive, entry, loaded)
    _hold_files_to_rows(archive, loaded)
    refuse_what_points_nowhere()
    go_on_counting()
    revisions.parentage_changed()
    revisions.figures_changed()
    return loaded


def _write_table(archive: Archive, entry: layout.Entry, loaded: Loaded) -> None:
    """The rows of one file, as they would stand in an archive of today."""
    name, since = Path(entry.path).stem, archive.manifest.format_version
    now = layout.FORMAT_VERSION
    present = upgrading.present_name(name, since=since, now=now)
    kind = next((kind for kind in KINDS if kind.name == present), None)
    if kind is None:
        raise ArchiveError(f"{entry.path}: this program keeps no records of that kind.")
    with archive.rows(entry) as rows:
        brought_up = upgrading.brought_up(name, rows, since=since, now=now)
        loaded.rows += _write_kind(kind, brought_up, loaded)


def _write_kind(kind: Kind, rows: Iterator[upgrading.Row], loaded: Loaded) -> int:
    columns = named(kind)
    values = _read_rows(kind, columns, rows, loaded.made_at)
    files = [one.field.attname for one in columns.values() if _holds_a_file(one)]
    count = 0
    while batch := list(islice(values, ROWS_AT_ONCE)):
        count += len(batch)
        for row in batch:
            loaded.named_files.update(layout.FILES + row[name] for name in files if row[name])
        _insert(kind, [kind.model(**row) for row in batch])
    return count


def _holds_a_file(column: Column) -> bool:
    return isinstance(column.field, models.FileField)


def _read_rows(
    kind: Kind,
    columns: dict[str, Column],
    rows: Iterator[upgrading.Row],
    made_at: datetime.datetime,
) -> Iterator[dict[str, Any]]:
    for number, row in enumerate(rows, start=1):
        if number == 1:
            given = {columns[name].field.attname for name in row if name in columns}
            usual = {one.field.attname: one for one in columns.values()
                     if one.field.attname not in given}  # fmt: skip
            if unknown := [name for name in row if name not in columns]:
                raise ArchiveError(f"{kind.file}: this program knows no column “{unknown[0]}”.")
        yield {name: _without(column, made_at) for name, column in usual.items()} | {
            columns[name].field.attname: _cell(columns[name], number, cell)
            for name, cell in row.items()
        }


def _cell(column: Column, number: int, cell: str) -> Any:
    try:
        return read(column, cell)
    except CellError as problem:
        shown = cell if len(cell) < 60 else f"{cell[:60]}…"
        raise ArchiveError(
            f"{column.kind.file}, row {number}, {column.name}: “{shown}” cannot be read: {problem}."
        ) from None


def _without(column: Column, made_at: datetime.datetime) -> Any:
    """What a record takes of which the archive says nothing.

    When it was written down, at the latest: it stood there when the archive was made.
    """
    field = column.field
    if getattr(field, "auto_now_add", False):
        return made_at
    if column.kind.model_label == "program.Person" and field.name == "password":
        return make_password(None)  # nobody signs in with it; a link makes a new one
    if field.has_default() or field.null or (field.blank and field.empty_strings_allowed):
        return field.get_default()
    raise ArchiveError(f"{column.kind.file}: the column {column.name} is missing.")


def _insert(kind: Kind, rows: list[models.Model]) -> None:
    """As they are: no field is set by itself, and the history says nothing of it."""
    fields = [*kind.model._meta.concrete_fields]
    at_once = connection.ops.bulk_batch_size(fields, rows)
    try:
        for start in range(0, len(rows), at_once):
            query = sql.InsertQuery(kind.model)
            query.insert_values(fields, rows[start : start + at_once], raw=True)
            query.get_compiler(connection=connection).execute_sql()
    except (IntegrityError, DataError) as problem:
        raise ArchiveError(
            f"{kind.file} breaks a rule of the records: {str(problem).strip()}."
        ) from None


def _hold_files_to_rows(archive: Archive, loaded: Loaded) -> None:
    there = paths(archive.files) | {*archive.manifest.missing}
    if gone := sorted(loaded.named_files - there):
        raise ArchiveError(f"{gone[0]} is named by a record, and is not in the archive.")
    if unnamed := sorted(paths(archive.files) - loaded.named_files):
        raise ArchiveError(f"{unnamed[0]} is in the archive, and no record names it.")
