"""How an archive is laid out: its version, its folders, its manifest. No rows in it."""

import datetime
import json
from dataclasses import asdict, dataclass
from typing import Any

FORMAT = "rayward archive"
FORMAT_VERSION = 1
FIRST_FORMAT = 1

MANIFEST, DICTIONARY, READ_ME = "manifest.json", "dictionary.csv", "README.txt"
RECORDS, FILES, KEYS = "records/", "files/", "keys/"


@dataclass(frozen=True)
class Entry:
    """One file of the archive; `rows` of a table only, without its header."""

    path: str
    sha256: str
    size: int
    rows: int | None = None


@dataclass(frozen=True)
class Manifest:
    """What an archive says of itself; `missing` are files that rows name and that were gone."""

    program_version: str
    made_at: str
    with_keys: bool
    entries: tuple[Entry, ...]
    missing: tuple[str, ...] = ()
    format: str = FORMAT
    format_version: int = FORMAT_VERSION

    def as_json(self) -> str:
        """One file a line, so that two manifests can be compared by eye."""
        listed = [
            {name: value for name, value in asdict(one).items() if value is not None}
            for one in self.entries
        ]
        head = {
            "format": self.format,
            "format_version": self.format_version,
            "program_version": self.program_version,
            "made_at": self.made_at,
            "with_keys": self.with_keys,
            "missing_files": [*self.missing],
        }
        said = [f"  {json.dumps(name)}: {json.dumps(value)}," for name, value in head.items()]
        files = ",\n".join(f"    {json.dumps(one, ensure_ascii=False)}" for one in listed)
        return "\n".join(["{", *said, '  "files": [', files, "  ]", "}", ""])


class ManifestError(ValueError):
    """The manifest is none; the message says why."""


def read_manifest(text: str) -> Manifest:
    """The manifest of an archive. Raises ManifestError."""
    try:
        said: Any = json.loads(text)
        if isinstance(said["format"], int):  # a backup counts its formats
            raise ManifestError("it is a backup; manage.py restore puts it back")
        if said["format"] != FORMAT:
            raise ManifestError(f"it is a “{said['format']}” and no {FORMAT}")
        version = _whole(said["format_version"])
        if version > FORMAT_VERSION:
            raise ManifestError(
                f"it has format {version}, and this program reads up to {FORMAT_VERSION}; "
                "load it with a newer one"
            )
        if version < FIRST_FORMAT:
            raise ManifestError(f"it has format {version}, which never was")
        return Manifest(
            program_version=_text(said["program_version"]),
            made_at=_moment(said["made_at"]),
            with_keys=said["with_keys"] is True,
            missing=tuple(_text(one) for one in said["missing_files"]),
            format_version=version,
            entries=tuple(_entry(one) for one in said["files"]),
        )
    except ManifestError:
        raise
    except (ValueError, KeyError, TypeError, RecursionError):
        raise ManifestError("its manifest cannot be read") from None


def _entry(said: Any) -> Entry:
    rows = said.get("rows")
    return Entry(
        path=_text(said["path"]),
        sha256=_text(said["sha256"]),
        size=_whole(said["size"]),
        rows=None if rows is None else _whole(rows),
    )


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError(value)
    return value


def _moment(value: Any) -> str:
    text = _text(value)
    if datetime.datetime.fromisoformat(text).tzinfo is None:
        raise ValueError(text)
    return text


def _whole(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise TypeError(value)
    return value
