"""Values that nobody should send and somebody will, and a reader of the forms on a page."""

import re
from collections.abc import Iterable
from html.parser import HTMLParser
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from breeding.animals.species.rules import RULES

URLENCODED = "application/x-www-form-urlencoded"
IN_PARTS = "multipart/form-data"

HOSTILE = [
    "",
    " ",
    "\x00",
    "a\x00b",
    "x" * 20_000,
    "9" * 400,
    "-1",
    "1e999",
    "1e-999",
    "NaN",
    "Infinity",
    "0001-01-01",
    "9999-12-31",
    "9999-12-31T23:59",
    "0001-01-01T00:00",
    "2026-02-30",
    "99999999999999999999",
    "9223372036854775808",
    "2147483648",
    "0.0000000000000000001",
    "1/0",
    "0/0",
    "1/99999999999999999999999999999999999999999999999999999999999999999",
    "²",
    "٣",
    "🙁",
    "e\u0301\u202e\u200b",
    "a\r\nb\tc",
    "../../etc/passwd",
    "{{ 7 }}%s%(x)s",
    "'; drop table animals; --",
    "<script>alert(1)</script>",
    "1",
    "F",
    "M",
]

SHARP = ["", "a\x00b", "9" * 30, "-1", "NaN", "0001-01-01", "9999-12-31", "1/0", "²", "2147483648"]

REPEATED = re.compile("|".join((r"\d+", *(rf"\b{name}(?=_)" for name in RULES))))


def first_of_each_shape(names: Iterable[str]) -> list[str]:
    """The names of a form; of rows and of figures of a species, which repeat, only the first."""
    found: dict[str, str] = {}
    for name in names:
        found.setdefault(REPEATED.sub("#", name), name)
    return list(found.values())


def not_a_picture() -> SimpleUploadedFile:
    return SimpleUploadedFile("portrait.jpg", b"\x00\xff not a picture", "image/jpeg")


def no_bytes() -> SimpleUploadedFile:
    return SimpleUploadedFile("empty.csv", b"", "text/csv")


def half_a_picture() -> SimpleUploadedFile:
    return SimpleUploadedFile("a\x00/../b.png", b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "image/png")


HOSTILE_FILES = (not_a_picture, no_bytes, half_a_picture)


class Filled(dict[str, Any]):
    """A value for every field of a form, and which of them are days, typed, or files."""

    def __init__(self) -> None:
        super().__init__()
        self.dates: set[str] = set()
        self.typed: set[str] = set()
        self.files: set[str] = set()


class FormReader(HTMLParser):
    """Reads the forms of a page, with a value for every field of those that are sent by post."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[tuple[str, str, Filled]] = []
        self.names: set[str] = set()
        self.filled: Filled | None = None
        self.choosing = ""

    @classmethod
    def names_on(cls, page: str) -> set[str]:
        """The names of all fields of all forms."""
        reader = cls()
        reader.feed(page)
        return reader.names

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        name = told.get("name", "")
        if tag in ("select", "textarea", "input", "button") and name:
            self.names.add(name)
        if tag == "form":
            self.filled = Filled() if told.get("method") == "post" else None
            if self.filled is not None:
                enctype = told.get("enctype") or URLENCODED
                self.forms.append((told.get("action", ""), enctype, self.filled))
        if self.filled is not None:
            self._fill(self.filled, tag, name, told)

    def _fill(self, filled: Filled, tag: str, name: str, told: dict[str, str]) -> None:
        if tag == "select":
            self.choosing = name
            filled[name] = ""
        elif tag == "option":
            # What a datalist offers beside a line to type into belongs to no list of choices.
            if self.choosing and ("selected" in told or not filled[self.choosing]):
                filled[self.choosing] = told.get("value", "")
        elif tag == "textarea":
            filled.typed.add(name)
            filled[name] = "Some words"
        elif tag in ("input", "button") and name and name != "csrfmiddlewaretoken":
            self._fill_input(filled, name, told)

    def _fill_input(self, filled: Filled, name: str, told: dict[str, str]) -> None:
        kind = told.get("type", "text")
        if kind in ("date", "datetime-local"):
            filled.dates.add(name)
        if kind == "date":
            filled[name] = told.get("value") or timezone.localdate().isoformat()
        elif kind in ("radio", "checkbox"):
            filled.setdefault(name, told.get("value") or "on")
        elif kind == "file":
            filled.files.add(name)
            filled[name] = ""
        else:
            if kind in ("text", "number", "search"):
                filled.typed.add(name)
            filled.setdefault(name, told.get("value") or "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self.choosing = ""


def forms_on(page: str, address: str) -> list[tuple[str, str, Filled]]:
    """(where it is sent, how it is written, a value for each field) of every form of the page."""
    reader = FormReader()
    reader.feed(page)
    return [(target or address, enctype, filled) for target, enctype, filled in reader.forms]
