"""Catalogs of all rooms, put together for gettext; a language is there once a room has its file.

Nothing is built beforehand: a file that somebody adds or mends is heard at the next start. What was
put together is kept in the cache of whoever runs the program, under a mark of the files it came
from, or in the data directory where there is no such cache.
"""

import hashlib
import os
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path

import polib
from django.conf.locale import LANG_INFO
from platformdirs import user_cache_dir

ROOMS = Path(__file__).resolve().parents[2]
AS_WRITTEN = "en"


def catalogs(rooms: Path = ROOMS) -> list[Path]:
    """All catalogs there are: breeding/<room>/locale/<language>.po."""
    return sorted(rooms.glob("*/locale/*.po"))


def languages(found: Iterable[Path]) -> list[tuple[str, str]]:
    """The languages that can be chosen, each under its own name; the one of the code first."""
    codes = sorted({path.stem for path in found} - {AS_WRITTEN})
    return [(code, _own_name(code)) for code in (AS_WRITTEN, *codes)]


def _own_name(code: str) -> str:
    name = str(LANG_INFO.get(code, {}).get("name_local", code))
    return name[:1].upper() + name[1:]


def together(found: list[Path], home: Path) -> Path:
    """The directory where gettext finds all catalogs, put together where they were not yet."""
    mark = _mark(found)
    places = [Path(user_cache_dir("rayward"), "languages"), home / "languages"]
    for place in places:
        if (place / mark).is_dir():
            return place / mark
    for place in places:
        try:
            return _put_together(found, place, mark)
        except OSError:
            continue
    return _put_together(found, Path(tempfile.mkdtemp(prefix="rayward-languages-")), mark)


def _mark(found: list[Path]) -> str:
    """Another one as soon as any of the files is another."""
    facts = (f"{path} {path.stat().st_mtime_ns} {path.stat().st_size}" for path in found)
    return hashlib.sha256("\n".join(facts).encode()).hexdigest()[:20]


def _put_together(found: list[Path], place: Path, mark: str) -> Path:
    """Written beside its place first, so that no other process meets half of it."""
    place.mkdir(parents=True, exist_ok=True, mode=0o700)
    with tempfile.TemporaryDirectory(dir=place) as beside:
        whole = Path(beside, mark)
        for code, _ in languages(found)[1:]:
            folder = whole / code / "LC_MESSAGES"
            folder.mkdir(parents=True)
            said = one_of(path for path in found if path.stem == code)
            (folder / "django.mo").write_bytes(said.to_binary())
        whole.mkdir(exist_ok=True)
        try:
            os.rename(whole, place / mark)
        except OSError:
            if not (place / mark).is_dir():  # else another process was quicker
                raise
    return place / mark


def one_of(paths: Iterable[Path]) -> polib.POFile:
    """Several catalogs of one language as one; where two say the same message, the first counts."""
    whole = polib.POFile()
    said: set[tuple[str | None, str]] = set()
    for entry, metadata in _entries(paths):
        whole.metadata = whole.metadata or metadata
        if (key := (entry.msgctxt, entry.msgid)) not in said:
            said.add(key)
            whole.append(entry)
    return whole


def _entries(paths: Iterable[Path]) -> Iterator[tuple[polib.POEntry, dict[str, str]]]:
    for path in paths:
        catalog = polib.pofile(str(path))
        for entry in catalog:
            if not entry.obsolete and entry.translated():
                yield entry, catalog.metadata
