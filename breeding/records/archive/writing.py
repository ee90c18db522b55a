"""The whole program written into one file: every record, every file of its own, and a manifest."""

import csv
import datetime
import hashlib
import io
import os
import tempfile
import zipfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, BinaryIO, cast

from django.conf import settings
from django.db import connection, models, transaction
from django.utils import translation

from breeding import __version__, home
from breeding.program.language.catalogs import AS_WRITTEN
from breeding.records.archive import dictionary, layout
from breeding.records.archive.cells import written
from breeding.records.archive.columns import Column, columns_of
from breeding.records.archive.kinds import KINDS
from breeding.records.archive.kinds.kind import Kind

ROWS_AT_ONCE = 1000
BYTES_AT_ONCE = 1 << 20
# Every file of an archive is of one moment, so that two archives of one program are the same.
OF_NO_TIME = (1980, 1, 1, 0, 0, 0)
KEY_FILES = (home.KEY_FILE, home.SHEET_KEY_FILE)


@dataclass
class Written:
    """An archive while it is written: what is in it so far."""

    archive: zipfile.ZipFile
    entries: list[layout.Entry] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)

    @property
    def rows(self) -> int:
        """How many records."""
        tables = (one for one in self.entries if one.path.startswith(layout.RECORDS))
        return sum(one.rows or 0 for one in tables)

    @property
    def files(self) -> int:
        """How many photographs, papers and sheets."""
        return sum(one.path.startswith(layout.FILES) for one in self.entries)


def write_archive(out: BinaryIO, *, now: datetime.datetime, with_keys: bool = False) -> Written:
    """Write everything there is as of one moment, while others go on writing.

    Two archives of the same records have the same bytes but for the manifest's moment, whatever
    language somebody reads.
    """
    with (
        translation.override(AS_WRITTEN),
        zipfile.ZipFile(out, "w", allowZip64=True) as archive,
        as_of_one_moment(),
    ):
        made = Written(archive)
        _write_text(made, layout.READ_ME, [dictionary.READ_ME])
        kinds = [kind for kind in KINDS if with_keys or not kind.is_secret]
        lines = dictionary.lines(kinds, with_keys=with_keys)
        _write_table(made, layout.DICTIONARY, lines)
        for kind in kinds:
            _write_table(made, kind.file, _rows(kind, with_keys=with_keys))
        for name in sorted(set(_file_names(kinds))):
            _write_file(made, layout.FILES + name, Path(settings.MEDIA_ROOT) / name)
        for place in _key_files() if with_keys else ():
            _write_file(made, layout.KEYS + place.name, place)
        manifest = layout.Manifest(
            program_version=__version__,
            made_at=now.astimezone(datetime.UTC).isoformat(timespec="seconds"),
            with_keys=with_keys,
            entries=tuple(made.entries),
            missing=tuple(made.missing),
        )
        archive.writestr(_head(layout.MANIFEST), manifest.as_json())
    return made


def write_whole_file(place: Path, *, now: datetime.datetime, with_keys: bool = False) -> Written:
    """An archive under this name, whole or not at all, readable to its owner alone.

    Raises FileExistsError when something has that name, and OSError when it cannot be written.
    """
    if place.exists():
        raise FileExistsError(place)
    handle, passing = tempfile.mkstemp(dir=place.parent, prefix=f".{place.name}-")  # mode 0600
    try:
        with os.fdopen(handle, "wb") as out:
            made = write_archive(out, now=now, with_keys=with_keys)
            out.flush()
            os.fsync(out.fileno())
        os.replace(passing, place)
    finally:
        Path(passing).unlink(missing_ok=True)
    return made


@contextmanager
def as_of_one_moment() -> Iterator[None]:
    """Everything read in it is of one moment; nobody is kept from writing."""
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("BEGIN DEFERRED")  # reads from its log; a transaction of ours would lock
            try:
                yield
            finally:
                cursor.execute("ROLLBACK")
    else:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            yield


def _rows(kind: Kind, *, with_keys: bool) -> Iterator[list[str]]:
    columns = columns_of(kind, with_keys=with_keys)
    yield [column.name for column in columns]
    for row in _values(kind, columns):
        yield [written(column, value) for column, value in zip(columns, row, strict=True)]


def _values(kind: Kind, columns: list[Column]) -> Iterable[tuple[object, ...]]:
    rows = kind.model._base_manager.order_by("pk")
    names = [column.field.attname for column in columns]
    return rows.values_list(*names).iterator(chunk_size=ROWS_AT_ONCE)


def _file_names(kinds: list[Kind]) -> Iterator[str]:
    """The path of every file that a record names, below the directory of files."""
    for kind in kinds:
        for column in columns_of(kind):
            if isinstance(column.field, models.FileField):
                rows = kind.model._base_manager.exclude(**{column.field.name: ""})
                yield from rows.values_list(column.field.name, flat=True)


def _key_files() -> list[Path]:
    """The program's own keys; a home that was never started has none yet."""
    places = [Path(settings.HOME) / name for name in KEY_FILES]
    return [place for place in places if place.exists()]


def _head(path: str, *, is_packed: bool = True) -> zipfile.ZipInfo:
    head = zipfile.ZipInfo(path, OF_NO_TIME)
    head.create_system = 3  # the same bytes on whatever machine
    head.external_attr = 0o600 << 16
    head.compress_type = zipfile.ZIP_DEFLATED if is_packed else zipfile.ZIP_STORED
    return head


class _Counted(io.RawIOBase):
    """What is written through it, counted and digested."""

    def __init__(self, out: IO[bytes]) -> None:
        self.out, self.size, self.digest = out, 0, hashlib.sha256()

    def writable(self) -> bool:
        return True

    def write(self, content: bytes, /) -> int:  # type: ignore[override]
        self.size += len(content)
        self.digest.update(content)
        return self.out.write(content)


def _write_table(made: Written, path: str, lines: Iterator[list[str]]) -> None:
    rows = 0
    with made.archive.open(_head(path), "w", force_zip64=True) as out:
        counted = _Counted(out)
        text = io.TextIOWrapper(cast(BinaryIO, counted), encoding="utf-8", newline="")
        table = csv.writer(text, lineterminator="\r\n")
        table.writerow(next(lines))
        for rows, line in enumerate(lines, start=1):  # noqa: B007
            table.writerow(line)
        text.flush()
        text.detach()
    made.entries.append(layout.Entry(path, counted.digest.hexdigest(), counted.size, rows))


def _write_text(made: Written, path: str, texts: Iterable[str]) -> None:
    content = "".join(texts).encode()
    made.archive.writestr(_head(path), content)
    made.entries.append(layout.Entry(path, hashlib.sha256(content).hexdigest(), len(content)))


def _write_file(made: Written, path: str, place: Path) -> None:
    """Pictures and papers are packed already; one that is gone is said, and the rest goes out."""
    try:
        content = place.open("rb")
    except OSError:
        made.missing.append(path)
        return
    with content, made.archive.open(_head(path, is_packed=False), "w", force_zip64=True) as out:
        counted = _Counted(out)
        while part := content.read(BYTES_AT_ONCE):
            counted.write(part)
    made.entries.append(layout.Entry(path, counted.digest.hexdigest(), counted.size))
