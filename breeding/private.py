"""What lies in the data directory is for its owner alone, in whatever directory it stands."""

import os
from collections.abc import Iterator
from pathlib import Path

from breeding.words.language import tell

OTHERS = 0o077  # what a group and everybody else may do
OURS = ("files", "static", "log", "backups", "compiled")  # the directories that the program fills


def from_now_on() -> None:
    """Whatever this process makes from now on, nobody else can read."""
    os.umask(OTHERS)


def tighten(place: Path) -> list[Path]:
    """Take from others what they may do with our files; those that belong to somebody else.

    Only what the program itself puts there: somebody may have named a directory that holds more.
    """
    return [path for path in _ours(place) if not _is_tightened(path)]


def words_for(left: list[Path]) -> str:
    """What could not be tightened, in words; empty when all could.

    >>> words_for([])
    ''
    """
    if not left:
        return ""
    if len(left) == 1:
        return tell(
            "Others may read {file}: it belongs to somebody else, so it stays as it is. "
            "Give everything in the data directory to whoever starts the program (chown -R).",
            file=left[0],
        )
    return tell(
        "Others may read {file} and {more} more: it belongs to somebody else, so it stays as it "
        "is. Give everything in the data directory to whoever starts the program (chown -R).",
        file=left[0],
        more=len(left) - 1,
    )


def _ours(place: Path) -> Iterator[Path]:
    yield from (path for path in place.glob("*") if path.is_file() and _is_of_the_program(path))
    for name in OURS:
        top = place / name
        if top.is_dir() and not top.is_symlink():
            yield top
            yield from top.rglob("*")


def _is_of_the_program(path: Path) -> bool:
    keys = ("secret_key", "sheet_key.pem", "sheet_key_next.pem")
    return path.name in keys or path.name.startswith("rayward.sqlite3")


def _is_tightened(path: Path) -> bool:
    try:
        mode = path.lstat().st_mode
        if mode & OTHERS and not path.is_symlink():
            path.chmod(mode & 0o7700)
    except FileNotFoundError:
        return True  # a file that was passing
    except OSError:
        return False
    return True
