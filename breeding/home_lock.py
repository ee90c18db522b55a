"""Who works on the data directory: one server, or one restore, never both and never two."""

import json
import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from breeding.words.days import long_day
from breeding.words.language import message, tell

try:
    import fcntl
except ImportError:  # a system without it: nobody is kept out there
    fcntl = None  # type: ignore[assignment]

LOCK_FILE = "running.lock"
SOMEBODY = message("another process")
KNOWN = {
    "process": message("process {told}"),
    "computer": message("on {told}"),
    "since": message("since {told}"),
}
_held: dict[Path, int] = {}  # by this process, until it ends: the system lets go when it dies


class HomeTakenError(Exception):
    """Somebody else works on this directory; says who, since when and what to do."""


def take(place: Path, doing: str, *, of: object = "", beside_others: bool = False) -> None:
    """Hold the directory until `let_go` or the end of this process, however it ends.

    `doing` is told to whoever comes second, in that one's language: a message in which `of` is
    filled in ("a server at {of}"). Several may hold it at
    once when each of them says `beside_others`; one that does not is alone. Who holds it already
    holds it still. Raises HomeTakenError, and OSError where the directory cannot be written.
    """
    place = place.resolve()
    if fcntl is None or place in _held:
        return
    handle = os.open(place / LOCK_FILE, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        fcntl.flock(handle, (fcntl.LOCK_SH if beside_others else fcntl.LOCK_EX) | fcntl.LOCK_NB)
    except BlockingIOError:
        holder = _written_in(handle)
        os.close(handle)
        raise HomeTakenError(_words(place, holder)) from None
    except BaseException:
        os.close(handle)
        raise
    _held[place] = handle
    _write(handle, doing, str(of))


def let_go(place: Path) -> None:
    """The file stays: whoever removed it would take it from under the next one."""
    handle = _held.pop(place.resolve(), None)
    if handle is not None:
        os.close(handle)


@contextmanager
def taken(place: Path, doing: str) -> Iterator[None]:
    """Alone on the directory for as long as the block lasts."""
    take(place, doing)
    try:
        yield
    finally:
        let_go(place)


def _write(handle: int, doing: str, of: str) -> None:
    told = {
        "doing": doing,
        "of": of,
        "process": os.getpid(),
        "computer": socket.gethostname(),
        "since": datetime.now(UTC).isoformat(timespec="seconds"),
    }
    os.truncate(handle, 0)
    os.pwrite(handle, json.dumps(told).encode(), 0)


def _written_in(handle: int) -> dict[str, Any]:
    try:
        told = json.loads(os.pread(handle, 10_000, 0))
    except ValueError:  # in the moment between the lock and the words
        return {}
    return told if isinstance(told, dict) else {}


def _words(place: Path, holder: dict[str, Any]) -> str:
    who = tell(str(holder.get("doing") or SOMEBODY), of=holder.get("of", ""))
    told = holder | {"since": _moment(str(holder.get("since", "")))}
    known = [tell(one, told=told[key]) for key, one in KNOWN.items() if told.get(key)]
    of_whom = f" ({', '.join(known)})" if known else ""
    return tell(
        "The data directory {place} is in use by {who}. "
        "Stop that first, or name another directory with --home DIR.",
        place=place,
        who=f"{who}{of_whom}",
    )


def _moment(written: str) -> str:
    """As people say it; empty where nothing that is a moment was written.

    >>> _moment("2026-11-29T01:13:21+00:00"), _moment("")
    ('29 November 2026, 01:13 UTC', '')
    """
    try:
        moment = datetime.fromisoformat(written).astimezone(UTC)
    except ValueError:
        return ""
    return tell("{day}, {time} UTC", day=long_day(moment.date()), time=f"{moment:%H:%M}")
