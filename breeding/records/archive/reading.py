"""An archive looked through before anything of it is believed: names, sizes, checksums."""

import csv
import hashlib
import io
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from breeding import home
from breeding.records.archive import layout
from breeding.records.archive.upgrading import Row
from breeding.words.language import tell
from breeding.words.numbers import counted, some
from breeding.words.system import why_refused

MOST_ENTRIES = 1_000_000
MOST_MANIFEST_BYTES = 256 * 1024 * 1024
MOST_TABLE_BYTES = 4 * 1024**3
MOST_CELL_CHARACTERS = 64 * 1024 * 1024
MOST_KEY_BYTES = 64 * 1024
BYTES_AT_ONCE = 1 << 20

# What can go wrong inside a packed file that is damaged, or made to do harm.
DAMAGED = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError)


class ArchiveError(ValueError):
    """The archive is not loaded, and nothing was written; the message says why."""


@dataclass(frozen=True)
class Archive:
    """An archive whose names and sizes are those of its manifest."""

    packed: zipfile.ZipFile
    manifest: layout.Manifest

    @property
    def tables(self) -> list[layout.Entry]:
        return [one for one in self.manifest.entries if one.path.startswith(layout.RECORDS)]

    @property
    def files(self) -> list[layout.Entry]:
        return [one for one in self.manifest.entries if one.path.startswith(layout.FILES)]

    @property
    def keys(self) -> list[layout.Entry]:
        return [one for one in self.manifest.entries if one.path.startswith(layout.KEYS)]

    @property
    def size(self) -> int:
        """Bytes of all its files, unpacked."""
        return sum(one.size for one in self.manifest.entries)

    def check_sums(self) -> None:
        """Read all of it once. Raises ArchiveError at the first file that is not as it was."""
        for entry in self.manifest.entries:
            self.copy(entry, None)

    def copy(self, entry: layout.Entry, out: IO[bytes] | None) -> None:
        """Unpack one file, or only read it. Raises ArchiveError when it is not as it was."""
        digest = hashlib.sha256()
        try:
            with self.packed.open(entry.path) as packed:
                while part := packed.read(BYTES_AT_ONCE):
                    digest.update(part)
                    if out is not None:
                        out.write(part)
        except DAMAGED:
            raise ArchiveError(
                tell("{file} is damaged and cannot be unpacked whole.", file=entry.path)
            ) from None
        if digest.hexdigest() != entry.sha256:
            raise ArchiveError(
                tell(
                    "{file} is not as it was written: its checksum is {found}…, and the manifest "
                    "says {told}…",
                    file=entry.path,
                    found=digest.hexdigest()[:12],
                    told=entry.sha256[:12],
                )
            )

    @contextmanager
    def rows(self, entry: layout.Entry) -> Iterator[Iterator[Row]]:
        """The rows of a table, each by its header. Reading them raises ArchiveError."""
        with self.packed.open(entry.path) as packed, _long_cells():
            text = io.TextIOWrapper(packed, encoding="utf-8", newline="")
            try:
                yield _rows(entry, csv.reader(text, strict=True))
            except (csv.Error, UnicodeDecodeError) as problem:
                raise ArchiveError(f"{entry.path} is no table in UTF-8: {problem}.") from None


def _rows(entry: layout.Entry, lines: Iterator[list[str]]) -> Iterator[Row]:
    header = next(lines, [])
    if not header or len(set(header)) != len(header):
        raise ArchiveError(f"{entry.path} has no header, or one that names a column twice.")
    count = 0
    for count, line in enumerate(lines, start=1):
        if len(line) != len(header):
            raise ArchiveError(
                f"{entry.path}, row {count} has {counted(len(line), 'cell')}; "
                f"the header has {len(header)}."
            )
        yield dict(zip(header, line, strict=True))
    if count != entry.rows:
        raise ArchiveError(
            f"{entry.path} has {counted(count, 'row')}; the manifest says {entry.rows}."
        )


@contextmanager
def _long_cells() -> Iterator[None]:
    """The csv module's limit is the process's own: it is put back."""
    before = csv.field_size_limit(MOST_CELL_CHARACTERS)
    try:
        yield
    finally:
        csv.field_size_limit(before)


@contextmanager
def opened(place: Path) -> Iterator[Archive]:
    """The archive of this name, its names and sizes held against its manifest. No file is read yet.

    Raises ArchiveError.
    """
    try:
        packed = zipfile.ZipFile(place)
    except OSError as problem:
        raise ArchiveError(tell("It cannot be read: {why}.", why=why_refused(problem))) from None
    except (*DAMAGED, ValueError):
        raise ArchiveError(tell("It is no archive that can be opened.")) from None
    with packed:
        manifest = _manifest(packed)
        _hold_to_manifest(packed, manifest)
        yield Archive(packed, manifest)


def _manifest(packed: zipfile.ZipFile) -> layout.Manifest:
    try:
        said = packed.getinfo(layout.MANIFEST)
    except KeyError:
        raise ArchiveError(
            f"There is no {layout.MANIFEST} in it: it is no archive of ours."
        ) from None
    if said.file_size > MOST_MANIFEST_BYTES:
        raise ArchiveError(f"Its {layout.MANIFEST} is larger than any could be.")
    try:
        return layout.read_manifest(packed.read(said).decode())
    except layout.ManifestError as problem:
        raise ArchiveError(f"It is not loaded: {problem}.") from None
    except (*DAMAGED, UnicodeDecodeError):
        raise ArchiveError(tell("Its {file} is damaged.", file=layout.MANIFEST)) from None


def _hold_to_manifest(packed: zipfile.ZipFile, manifest: layout.Manifest) -> None:
    there = packed.infolist()
    if len(there) > MOST_ENTRIES:
        raise ArchiveError(f"It holds {len(there)} files; at most {MOST_ENTRIES} are read.")
    sizes = {one.filename: one.file_size for one in there}
    listed = {one.path: one for one in manifest.entries}
    if len(sizes) != len(there) or len(listed) != len(manifest.entries):
        raise ArchiveError(tell("It holds two files of one name."))
    for path in (*sizes, *listed, *manifest.missing):
        _refuse_a_hostile_name(path)
    if gone := sorted(listed.keys() - sizes.keys()):
        raise ArchiveError(f"Gone from it: {some(gone, 5)}.")
    if added := sorted(sizes.keys() - listed.keys() - {layout.MANIFEST}):
        raise ArchiveError(f"Added to it, and not in its manifest: {some(added, 5)}.")
    for path, entry in listed.items():
        if sizes[path] != entry.size:
            raise ArchiveError(
                f"{path} would unpack to {sizes[path]} bytes; the manifest says {entry.size}."
            )
        if entry.size > _most_bytes(path):
            raise ArchiveError(f"{path} has {entry.size} bytes; no more than {_most_bytes(path)} "
                               "are read.")  # fmt: skip


def _most_bytes(path: str) -> int:
    if path.startswith(layout.KEYS):
        return MOST_KEY_BYTES
    return MOST_MANIFEST_BYTES if "/" not in path else MOST_TABLE_BYTES


KNOWN_PLACES = re.compile(
    rf"{layout.MANIFEST}|{layout.DICTIONARY}|{layout.READ_ME}"
    rf"|{layout.RECORDS}[a-z_]{{1,60}}\.csv"
    rf"|{layout.KEYS}(?:{home.KEY_FILE}|{home.SHEET_KEY_FILE})"
    rf"|{layout.FILES}(?:[^/]+/)*[^/]+"
)


def _refuse_a_hostile_name(path: str) -> None:
    """Nothing is unpacked anywhere but below the directory of files."""
    parts = path.split("/")
    is_ours = KNOWN_PLACES.fullmatch(path) and path.isprintable() and len(path) < 500
    if not is_ours or "\\" in path or ":" in path or any(one.strip(". ") == "" for one in parts):
        raise ArchiveError(f"{path!r} is no name of a file of an archive.")


def paths(entries: Iterable[layout.Entry]) -> set[str]:
    return {one.path for one in entries}
