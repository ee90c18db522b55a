"""The one file of a backup: written under a passing name, opened and checked, then named."""

import hashlib
import os
import re
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from typing import IO

from breeding.program.backup import postgres, sqlite, tables
from breeding.program.backup.manifest import (
    BESIDE,
    FILES,
    MEMBER,
    Content,
    Manifest,
    read_manifest,
)
from breeding.program.backup.problem import BackupError
from breeding.words.language import tell

CHUNK = 1 << 20
LARGEST_MANIFEST = 200_000_000
PRESSED = {".sqlite3", ".json", ".svg", ".txt", ".pem"}  # what compressing makes smaller

NOT_WHOLE = (zipfile.BadZipFile, zlib.error, EOFError, KeyError, NotImplementedError, RuntimeError)

# Where a member of the archive goes when it is opened; None: it is read and not kept.
Place = Callable[[str], Path | None]


class Writing:
    """An archive that is being written, private from the first moment."""

    def __init__(self, out: IO[bytes]) -> None:
        self.zip = zipfile.ZipFile(out, "w", allowZip64=True)
        self.contents: dict[str, Content] = {}

    def add(self, name: str, file: Path) -> None:
        digest, size = hashlib.sha256(), 0
        told = zipfile.ZipInfo.from_file(file, name, strict_timestamps=False)
        is_pressed = Path(name).suffix in PRESSED
        told.compress_type = zipfile.ZIP_DEFLATED if is_pressed else zipfile.ZIP_STORED
        with open(file, "rb") as source, self.zip.open(told, "w", force_zip64=True) as member:
            for chunk in iter(lambda: source.read(CHUNK), b""):
                digest.update(chunk)
                size += len(chunk)
                member.write(chunk)
        self.contents[name] = Content(digest.hexdigest(), size)

    def close(self, manifest: Manifest) -> None:
        self.zip.writestr(MEMBER, manifest.written(), zipfile.ZIP_DEFLATED)
        self.zip.close()


def look_into(archive: Path) -> Manifest:
    """What it says of itself, without checking the rest."""
    with _opened(archive) as opened:
        return _manifest(opened)


def unpack(archive: Path, place: Place, scratch: Path) -> Manifest:
    """Open it, check every file in it by its checksum and the database by itself.

    What `place` names is written there and is on the disk afterwards; the database is always
    unpacked, into `scratch` where nothing else is said, for only what was opened is checked.
    Raises BackupError for an archive that is not whole.
    """
    with _opened(archive) as opened:
        manifest = _manifest(opened)
        database = place(manifest.database_member) or scratch / manifest.database_member
        for name in manifest.contents:
            to = database if name == manifest.database_member else place(name)
            _unpack_one(opened, name, manifest.contents[name], to)
    check_database(database, manifest)
    return manifest


def check_database(file: Path, manifest: Manifest) -> None:
    """It is whole, and what the manifest says of it is so."""
    if manifest.database == "postgresql":
        postgres.check(file)
        return
    with sqlite.asked(file) as (ask, columns):
        loose = sqlite.check(ask)
        found = tables.count_tables(ask, columns)
    if loose != manifest.loose or found != manifest.counted:
        raise BackupError(
            tell("The database in it is not the one that its list of contents tells of.")
        )


def _unpack_one(opened: zipfile.ZipFile, name: str, told: Content, to: Path | None) -> None:
    digest, size = hashlib.sha256(), 0
    with opened.open(name) as member, _writing(to) as out:
        while size <= told.size and (chunk := member.read(CHUNK)):
            digest.update(chunk)
            size += len(chunk)
            if out:
                out.write(chunk)
    if (digest.hexdigest(), size) != (told.sha256, told.size):
        raise BackupError(
            tell("{file} in it is not as it was when the backup was made.", file=name)
        )


@contextmanager
def _writing(to: Path | None) -> Iterator[IO[bytes] | None]:
    if to is None:
        yield None
        return
    to.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with open(os.open(to, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
        yield out
        out.flush()
        os.fsync(out.fileno())


@contextmanager
def _opened(archive: Path) -> Iterator[zipfile.ZipFile]:
    try:
        with zipfile.ZipFile(archive) as opened:
            yield opened
    except NOT_WHOLE as problem:
        why = _damage(str(problem))
        raise BackupError(
            tell(
                "{file} is no whole backup: {why}. Take another copy of it, or an earlier one.",
                file=archive,
                why=why,
            )
        ) from problem


def _damage(problem: str) -> str:
    """What the library says of a file that is damaged, in words for a keeper.

    >>> _damage("Bad CRC-32 for file 'files/sheets/3.pdf'")
    "what it holds as 'files/sheets/3.pdf' is not as it was written"
    """
    if found := re.fullmatch("Bad CRC-32 for file (.+)", problem):
        return tell("what it holds as {file} is not as it was written", file=found[1])
    if "zip" in problem.lower():
        return tell("it was cut short, or is no file that back_up wrote")
    return tell("it cannot be unpacked whole")


def _manifest(opened: zipfile.ZipFile) -> Manifest:
    if MEMBER not in opened.namelist():
        raise BackupError(
            tell(
                "There is no list of contents in it, so it is no backup of this program. What "
                "export wrote is put back with load_export, into an empty directory."
            )
        )
    if opened.getinfo(MEMBER).file_size > LARGEST_MANIFEST:
        raise BackupError(tell("Its list of contents is too long to be one."))
    manifest = read_manifest(opened.read(MEMBER))
    told, found = {*manifest.contents, MEMBER}, opened.namelist()
    if len(found) != len(told) or set(found) != told:
        odd = sorted(set(found) ^ told)[:3] or [tell("two of one name")]
        raise BackupError(
            tell("It does not hold what its list of contents tells: {names}.", names=", ".join(odd))
        )
    for name in manifest.contents:
        if not _is_fit(name, manifest):
            raise BackupError(tell("{name} is no name of a file in a backup.", name=repr(name)))
    return manifest


def _is_fit(name: str, manifest: Manifest) -> bool:
    """Nothing is ever written outside its folder."""
    if name == manifest.database_member:
        return True
    path = PurePosixPath(name)
    within = path.parts[1:]
    if path.is_absolute() or ".." in within or not within or "\\" in name or "\0" in name:
        return False
    return name.startswith(FILES) or (name.startswith(BESIDE) and len(within) == 1)
