"""Where backups of this program stand, how old the newest is, and whether the last try failed."""

import json
import re
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from django.conf import settings

SHAPE = "rayward-%Y%m%dT%H%M%SZ.zip"
NAME = r"(rayward|before-[0-9A-Za-z.+_]+)-(\d{8}T\d{6}Z)\.zip"
FAILED = "last-failure.json"


_failed: "dict[Path, Failure]" = {}


@dataclass(frozen=True)
class Kept:
    """One backup on the shelf; before: the version that was about to change the records."""

    file: Path
    made_at: datetime
    size: int
    before: str = ""


@dataclass(frozen=True)
class Failure:
    """The last try, when it was none of a good backup."""

    at: datetime
    words: str


def shelf() -> Path | None:
    """The directory of the daily backups; None when they are switched off."""
    found: Path | None = settings.BACKUPS
    return found


def shelf_or_home() -> Path:
    """Where a backup goes that is taken whatever is switched off."""
    return shelf() or Path(settings.HOME) / "backups"


def on_the_shelf() -> list[Kept]:
    """The newest first."""
    found = []
    for file in shelf_or_home().glob("*.zip"):
        if (named := re.fullmatch(NAME, file.name)) and file.is_file():
            made_at = datetime.strptime(named[2], "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
            before = named[1].removeprefix("before-") if named[1] != "rayward" else ""
            found.append(Kept(file, made_at, file.stat().st_size, before))
    return sorted(found, key=lambda one: (one.made_at, one.file.name), reverse=True)


def newest() -> Kept | None:
    return next(iter(on_the_shelf()), None)


def new_file(now: datetime) -> Path:
    return shelf_or_home() / now.astimezone(UTC).strftime(SHAPE)


def write_failure(now: datetime, words: str) -> None:
    """Kept beside the backups for every process of the program; here, where nothing is written."""
    _failed[shelf_or_home()] = Failure(now, words)
    with suppress(OSError):
        (shelf_or_home() / FAILED).write_text(
            json.dumps({"at": now.isoformat(timespec="seconds"), "words": words})
        )


def forget_failure() -> None:
    _failed.pop(shelf_or_home(), None)
    with suppress(OSError):
        (shelf_or_home() / FAILED).unlink(missing_ok=True)


def last_failure() -> Failure | None:
    try:
        told = json.loads((shelf_or_home() / FAILED).read_text())
        return Failure(datetime.fromisoformat(told["at"]), str(told["words"]))
    except (OSError, ValueError, KeyError, TypeError):
        return _failed.get(shelf_or_home())


def is_on_the_same_disk() -> bool:
    """A disk that breaks takes the backups on it along; unknown counts as the same."""
    try:
        return shelf_or_home().stat().st_dev == Path(settings.HOME).stat().st_dev
    except OSError:
        return True
