"""Catalogs kept in step with what the program says, and what of them is not right."""

import re
import string
from collections.abc import Iterable, Iterator
from pathlib import Path

import polib

from breeding.program.language.catalogs import AS_WRITTEN, ROOMS, catalogs, languages
from breeding.program.language.sources import ORDER, Message, messages

FORMATS = {"de": "nplurals=2; plural=(n != 1);"}
IN_TEMPLATE = re.compile(r"%\((\w+)\)s")


def collect(wanted: Iterable[str] = (), rooms: Path = ROOMS, also: str = "") -> dict[str, int]:
    """Write every room's catalogs anew and return how many messages of each language miss a word.

    wanted: the rooms, all without one. A message stands once, in the lowest room that says it, and
    keeps what it is in another language wherever that stood. `also` begins a language.
    """
    belongs: dict[str, dict[tuple[str | None, str], tuple[Message, list[str]]]] = {}
    seen: dict[tuple[str | None, str], list[str]] = {}
    for room, path, one in messages(rooms):
        places = seen.get(one.key)
        if places is None:
            places = seen[one.key] = []
            belongs.setdefault(room, {})[one.key] = (one, places)
        if (place := _place(path, rooms)) not in places:
            places.append(place)
    codes = {code for code, _ in languages(catalogs(rooms))[1:]} | ({also} - {"", AS_WRITTEN})
    missing = dict.fromkeys(sorted(codes), 0)
    for code in missing:
        known = _known(code, rooms)
        for room in wanted or ORDER:
            path = rooms / room / "locale" / f"{code}.po"
            missing[code] += _write(path, code, belongs.get(room, {}), known)
    return missing


def _place(path: Path, rooms: Path) -> str:
    return path.relative_to(rooms if path.is_relative_to(rooms) else rooms.parent).as_posix()


def _known(code: str, rooms: Path) -> dict[tuple[str | None, str], polib.POEntry]:
    return {
        (entry.msgctxt, entry.msgid): entry
        for path in reversed(catalogs(rooms))
        if path.stem == code
        for entry in polib.pofile(str(path))
        if entry.translated()
    }


def _write(
    path: Path,
    code: str,
    said: dict[tuple[str | None, str], tuple[Message, list[str]]],
    known: dict[tuple[str | None, str], polib.POEntry],
) -> int:
    """The catalog of one room in one language; how many of its messages are not translated."""
    if not said:
        path.unlink(missing_ok=True)
        return 0
    catalog = polib.POFile(wrapwidth=100)
    catalog.metadata = {
        "Language": code,
        "Content-Type": "text/plain; charset=UTF-8",
        "Content-Transfer-Encoding": "8bit",
        "Plural-Forms": FORMATS.get(code, FORMATS["de"]),
    }
    for key, (one, places) in said.items():
        catalog.append(_entry(one, places, known.get(key)))
    path.parent.mkdir(exist_ok=True)
    catalog.save(str(path))
    missing: list[polib.POEntry] = catalog.untranslated_entries()
    return len(missing)


def _entry(one: Message, places: list[str], known: polib.POEntry | None) -> polib.POEntry:
    entry = polib.POEntry(
        msgid=one.text, msgctxt=one.context, occurrences=[(p, "") for p in places]
    )
    if one.plural:
        entry.msgid_plural = one.plural
        entry.msgstr_plural = {0: "", 1: ""}
        if known is not None and known.msgid_plural:
            entry.msgstr_plural = known.msgstr_plural
    elif known is not None and not known.msgid_plural:
        entry.msgstr = known.msgstr
    if known is not None:
        entry.tcomment = known.tcomment
    return entry


def problems(code: str, rooms: Path = ROOMS) -> Iterator[str]:
    """What is wrong in the catalogs of one language, a line each: file, message, and why."""
    said = {one.key: one for _, _, one in messages(rooms)}
    for path in catalogs(rooms):
        if path.stem != code:
            continue
        for entry in polib.pofile(str(path)):
            key = (entry.msgctxt, entry.msgid)
            where = f"{_place(path, rooms)}: “{entry.msgid}”"
            if said.pop(key, None) is None:
                yield f"{where} is said nowhere, or stands in a second catalog too"
            elif not entry.translated():
                yield f"{where} is not translated"
            elif strange := _strange(entry):
                yield f"{where} has {{{'}, {'.join(sorted(strange))}}}, which the message has not"
    for one in said.values():
        yield f"“{one.text}” is in no catalog of “{code}”; `manage.py messages` writes it there"


def _strange(entry: polib.POEntry) -> set[str]:
    """The names to be filled in that only the translation has."""
    translated = [entry.msgstr, *entry.msgstr_plural.values()]
    return set().union(*map(_names, translated)) - _names(entry.msgid) - _names(entry.msgid_plural)


def _names(text: str) -> set[str]:
    try:
        braced = {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}
    except ValueError:
        braced = {"a brace that is never closed"}
    return braced | set(IN_TEMPLATE.findall(text))
