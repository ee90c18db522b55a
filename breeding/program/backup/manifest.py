"""What a backup says of itself: what is in it, from when, and of which state of the records."""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from datetime import datetime
from typing import Any, Literal

from breeding.program.backup.problem import BackupError
from breeding.words.language import tell

FORMAT = 1
MEMBER = "manifest.json"
FILES, BESIDE = "files/", "home/"  # folders in the archive: MEDIA_ROOT, and what lies beside it
DATABASES = {"sqlite": "database.sqlite3", "postgresql": "database.dump"}

Database = Literal["sqlite", "postgresql"]


@dataclass(frozen=True)
class Counted:
    """One kind of record: its table, what it is called, how many, and when the newest was written.

    newest is empty where the table holds no moment of writing, or nothing.
    """

    table: str
    name: str
    rows: int
    newest: str = ""


@dataclass(frozen=True)
class Content:
    """One file in the archive."""

    sha256: str
    size: int


@dataclass(frozen=True)
class Manifest:
    """made_at: the moment of which everything in it is. migrations: those applied, by room.

    loose: rows that pointed to rows that are not there. missing: files that a record names and
    that were not there. Both were so in the program when the backup was made.
    """

    made_at: str
    version: str
    database: Database
    program: str
    migrations: Mapping[str, list[str]]
    counted: list[Counted]
    contents: Mapping[str, Content]
    loose: int = 0
    missing: list[str] = field(default_factory=list)
    format: int = FORMAT

    @property
    def moment(self) -> datetime:
        return datetime.fromisoformat(self.made_at)

    @property
    def database_member(self) -> str:
        return DATABASES[self.database]

    @property
    def files(self) -> list[str]:
        """The photographs, documents and sheets, as they are called in the program."""
        return [one.removeprefix(FILES) for one in self.contents if one.startswith(FILES)]

    @property
    def beside(self) -> list[str]:
        """The keys and lists that lie beside the database."""
        return [one.removeprefix(BESIDE) for one in self.contents if one.startswith(BESIDE)]

    @property
    def rows(self) -> int:
        return sum(one.rows for one in self.counted)

    def written(self) -> bytes:
        return json.dumps(asdict(self), indent=1, ensure_ascii=False).encode()


def read_manifest(written: bytes) -> Manifest:
    """Raises BackupError for what is no manifest, or one of a later kind of backup."""
    try:
        told: dict[str, Any] = json.loads(written)
        if isinstance(told["format"], str):  # an archive of records says its format in words
            raise BackupError(
                tell(
                    "This is what export wrote, not a backup: manage.py load_export puts it into "
                    "an empty directory."
                )
            )
        if told["format"] > FORMAT:
            raise BackupError(
                tell(
                    "This backup is of a later kind ({later}) than this version reads ({own}); it "
                    "was made by version {version}. Install that version.",
                    later=told["format"],
                    own=FORMAT,
                    version=told["version"],
                )
            )
        told["counted"] = [Counted(**one) for one in told["counted"]]
        told["contents"] = {name: Content(**one) for name, one in told["contents"].items()}
        manifest = Manifest(**told)
        _ = manifest.moment, manifest.database_member
    except (ValueError, KeyError, TypeError, AttributeError) as problem:
        raise BackupError(
            tell("Its list of contents cannot be read ({why}); it is no whole backup.", why=problem)
        ) from problem
    return manifest
