"""An archive written, loaded into nothing, and written again, in the database of the test."""

import datetime
import hashlib
import io
import json
import re
import zipfile
from pathlib import Path

from django.db import connection

from breeding.animals.models import Revision
from breeding.program.frame.memory import forget
from breeding.program.models import KeptForm, SignInLink
from breeding.records.archive.kinds import KINDS
from breeding.records.archive.loading import Loaded, load_archive
from breeding.records.archive.writing import write_archive

NOW = datetime.datetime(2026, 3, 31, 18, 5, tzinfo=datetime.UTC)
LATER = NOW + datetime.timedelta(days=1)
MADE_AT = re.compile(rb'"made_at": "[^"]*"')


def taken_out(*, now: datetime.datetime = NOW, with_keys: bool = True) -> bytes:
    """The bytes of an archive of everything."""
    out = io.BytesIO()
    write_archive(out, now=now, with_keys=with_keys)
    return out.getvalue()


def files_of(archive: bytes) -> dict[str, bytes]:
    """Path and content of each file, in their order; of the manifest without its moment."""
    with zipfile.ZipFile(io.BytesIO(archive)) as packed:
        found = {one.filename: packed.read(one) for one in packed.infolist()}
    assert MADE_AT.search(found["manifest.json"])
    return found | {"manifest.json": MADE_AT.sub(b'"made_at": ""', found["manifest.json"])}


def counts_of(archive: bytes) -> dict[str, int]:
    """How many rows each kind has, as the manifest says."""
    listed = json.loads(files_of(archive)["manifest.json"])["files"]
    return {one["path"].removeprefix("records/").removesuffix(".csv"): one["rows"]
            for one in listed if one["path"].startswith("records/")}  # fmt: skip


def empty(settings, place: Path) -> None:
    """Nothing on record any more, in a home that nobody has used."""
    for model in (KeptForm, SignInLink, Revision, *(kind.model for kind in KINDS)):
        model._base_manager.all()._raw_delete(connection.alias)
    forget("revision")
    settings.HOME, settings.MEDIA_ROOT = place, place / "files"


def repacked(archive: bytes, **changes: bytes | None) -> bytes:
    """The archive with these files put in their place (None: taken out), and nothing else."""
    files = {name: bytes(content) for name, content in _raw(archive).items()}
    for name, content in changes.items():
        if content is None:
            del files[name]
        else:
            files[name] = content
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in files.items():
            packed.writestr(name, content)
    return out.getvalue()


def _raw(archive: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(archive)) as packed:
        return {one.filename: packed.read(one) for one in packed.infolist()}


def load(archive: bytes, settings, place: Path) -> Loaded:
    """Load it into an empty home at this place."""
    place.parent.mkdir(parents=True, exist_ok=True)
    kept = place.parent / f"{place.name}.zip"
    kept.write_bytes(archive)
    empty(settings, place)
    return load_archive(kept)


def check_round_trip(settings, place: Path, *, with_keys: bool = True) -> bytes:
    """Out, in, out: the same files but for the manifest's moment. Returns the first archive."""
    first = taken_out(with_keys=with_keys)
    load(first, settings, place)
    second = taken_out(now=LATER, with_keys=with_keys)
    before, after = files_of(first), files_of(second)
    assert [*before] == [*after]
    differing = [path for path in before if before[path] != after[path]]
    assert differing == [], _difference(before, after, differing[0])
    return first


def _difference(before: dict[str, bytes], after: dict[str, bytes], path: str) -> str:
    pairs = zip(before[path].splitlines(), after[path].splitlines(), strict=False)
    return next((f"{path}: {one!r} / {other!r}" for one, other in pairs if one != other), path)


def told_anew(archive: bytes, *, rows: int | None = None, **changes: bytes) -> bytes:
    """The archive with these files, and a manifest that knows them: of their size, sum and rows."""
    said = json.loads(_raw(archive)["manifest.json"])
    listed = {one["path"]: one for one in said["files"]}
    for path, content in changes.items():
        one = listed.setdefault(path, {"path": path})
        one |= {"sha256": hashlib.sha256(content).hexdigest(), "size": len(content)}
        if path.endswith(".csv"):
            one["rows"] = max(content.count(b"\r\n") - 1, 0) if rows is None else rows
    said["files"] = [*listed.values()]
    return repacked(archive, **changes, **{"manifest.json": json.dumps(said).encode()})


def without(archive: bytes, path: str) -> bytes:
    """The archive as if this file had never been in it."""
    said = json.loads(_raw(archive)["manifest.json"])
    said["files"] = [one for one in said["files"] if one["path"] != path]
    return repacked(archive, **{path: None, "manifest.json": json.dumps(said).encode()})
