"""What a restore puts in place of what was there: wholly or not at all, also through a crash.

Everything new is made ready beside the old first. Then a marker is written; from that moment on
the new is meant, and whoever comes first after a crash moves what had not been moved yet. Where a
database outside the directory is part of it, that database decides: it holds the marker's token
when its own transaction came to its end, and what is beside it is taken back when it did not.
"""

import json
import os
import shutil
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

from breeding import home_lock
from breeding.words.language import message, tell

MARKER = "restore.json"
PASSING = ".restoring-"
# A table of one row, written by the transaction that puts a backup back into a database outside.
TOKEN_TABLE = "rayward_put_back"  # noqa: S105


@dataclass(frozen=True)
class Swap:
    """Names in the directory. ready: where the new lies. aside: where the old goes.

    token: what the database outside holds when it is the new one; empty where there is none.
    """

    ready: str
    aside: str
    leaving: list[str]
    coming: list[str]
    token: str = ""


def begin(place: Path, swap: Swap) -> None:
    """From here on the new is meant (or what the database outside says)."""
    passing = place / f".{MARKER}"
    with open(os.open(passing, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w") as out:
        json.dump(asdict(swap), out)
        out.flush()
        os.fsync(out.fileno())
    sync_folders(place / swap.ready)
    passing.replace(place / MARKER)
    sync(place)


def is_begun(place: Path) -> bool:
    return (place / MARKER).exists()


def finish(place: Path, is_new: Callable[[str], bool]) -> bool:
    """Move what has not been moved yet; False when the database outside is still the old one.

    Whoever calls this holds the directory. It can be called again after any interruption.
    """
    swap = Swap(**json.loads((place / MARKER).read_text()))
    done = not swap.token or is_new(swap.token)
    if done:
        _move(place, swap)
    (place / MARKER).unlink()
    sync(place)
    shutil.rmtree(place / swap.ready, ignore_errors=True)
    if not done:
        shutil.rmtree(place / swap.aside, ignore_errors=True)
    return done


def finish_interrupted(place: Path) -> str:
    """After a crash: what was done about it, in a sentence; empty when there was nothing to do.

    Raises HomeTakenError while the restore is still under way.
    """
    if not is_begun(place):
        return ""
    with home_lock.taken(place, message("a restore that is being finished")):
        if not is_begun(place):
            return ""
        is_new = finish(place, _database_has)
    if is_new:
        return tell("A restore into {place} had been interrupted; it is finished now.", place=place)
    return tell(
        "A restore into {place} had been interrupted; everything is as it was before it.",
        place=place,
    )


def _database_has(token: str) -> bool:
    """Asked of the database itself: settings read now would hold the keys of before."""
    import psycopg

    with psycopg.connect(os.environ["RAYWARD_DATABASE"]) as database:
        (table,) = database.execute("SELECT to_regclass(%s)", [TOKEN_TABLE]).fetchone() or (None,)
        if table is None:
            return False
        rows = database.execute(f"SELECT token FROM {TOKEN_TABLE}").fetchall()  # noqa: S608
        return (token,) in rows


def sweep(place: Path) -> None:
    """What a restore had made ready when it died before it began to move anything."""
    if not is_begun(place):
        for left in place.glob(f"{PASSING}*"):
            shutil.rmtree(left, ignore_errors=True)


def _move(place: Path, swap: Swap) -> None:
    aside, ready = place / swap.aside, place / swap.ready
    aside.mkdir(mode=0o700, exist_ok=True)
    for name in dict.fromkeys([*swap.leaving, *swap.coming]):
        old, kept, new = place / name, aside / name, ready / name
        is_old_there = name not in swap.coming or os.path.lexists(new)
        if is_old_there and os.path.lexists(old):
            os.replace(old, kept)
        if os.path.lexists(new):
            os.replace(new, old)
    for folder in (aside, place):
        sync(folder)


def sync(folder: Path | str) -> None:
    """The names in a folder, on the disk."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def sync_folders(folder: Path) -> None:
    for within, _, _ in os.walk(folder):
        sync(Path(within))
