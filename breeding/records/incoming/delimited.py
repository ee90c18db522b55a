"""From the bytes of an uploaded table to its header and rows; no Django in it."""

import codecs
import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain, islice

from breeding.words.language import message, tell
from breeding.words.numbers import written

MOST_BYTES = 2 * 1024 * 1024
MOST_ROWS = 20_000
MOST_COLUMNS = 60
LONGEST_CELL = 4000
MOST_TITLES = 8  # lines above the header
DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs"}

_SNIFFED_CHARACTERS = 2048  # the sniffer's patterns are slow on long odd texts
_SEPARATOR_LINE = re.compile(r'"?sep=([,;\t])"?[,;\t]*\r?(?:\n|$)', re.IGNORECASE)
_SPACES = "\t\n\r\x0b\x0c"
_OTHER_FILES = (
    (b"PK\x03\x04", message("a spreadsheet or a packed file")),
    (b"\xd0\xcf\x11\xe0", message("an old spreadsheet or text document")),
    (b"%PDF", message("a PDF")),
    (b"\x89PNG", message("a picture")),
    (b"\xff\xd8\xff", message("a picture")),
    (b"GIF8", message("a picture")),
    (b"\x1f\x8b", message("a packed file")),
    (b"SQLite format 3", message("a database")),
)


class TableError(ValueError):
    """The text is no table that can be read; the message says why and what is allowed."""


@dataclass(frozen=True)
class Row:
    """One row: the line of the file it begins on (from 1) and its cells, as many as the header.

    `given` says how many cells stood there: fewer, and the rest is empty; more is a fault.
    """

    line: int
    cells: tuple[str, ...]
    given: int


@dataclass(frozen=True)
class Table:
    """A header and its rows, as written."""

    headers: tuple[str, ...]
    rows: tuple[Row, ...]
    delimiter: str


def megabytes(size: int) -> str:
    """To a tenth."""
    return written(f"{size / 1024 / 1024:.1f}")


def decode(raw: bytes) -> str:
    """The text of a file: UTF-8 (with or without its mark), UTF-16, or else cp1252.

    Raises TableError when it is too large or is not text.

    >>> decode(b"code,name\\nR1,\\xc5se".replace(b"\\xc5", b"\\xc3\\x85"))
    'code,name\\nR1,Åse'
    >>> decode("code;name".encode("utf-16"))
    'code;name'
    """
    if len(raw) > MOST_BYTES:
        raise TableError(
            tell(
                "The file has {size} MB; allowed are {most} MB. Split it into several tables.",
                size=megabytes(len(raw)),
                most=MOST_BYTES // 1024 // 1024,
            )
        )
    for start, what in _OTHER_FILES:
        if raw.startswith(start):
            raise TableError(
                tell(
                    "The file is {what}, not a table of text; save the table as CSV and bring in "
                    "that.",
                    what=tell(what),
                )
            )
    for encoding in _encodings(raw):
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        return checked_text(text)
    raise TableError(
        tell("The file is not text in UTF-8, UTF-16 or cp1252; save the table as CSV in UTF-8.")
    )


def _encodings(raw: bytes) -> tuple[str, ...]:
    if raw.startswith(codecs.BOM_UTF8):
        return ("utf-8-sig",)
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return ("utf-16",)
    start = raw[:2000]
    if start[1::2].count(0) > len(start) // 4:  # UTF-16 without its mark: every other byte is 0
        return ("utf-16-le",)
    if start[::2].count(0) > len(start) // 4:
        return ("utf-16-be",)
    return ("utf-8", "cp1252")


def checked_text(text: str) -> str:
    """The same text without a byte order mark; raises TableError when it is not text."""
    text = text.removeprefix("\ufeff")
    if len(text) > MOST_BYTES:
        raise TableError(
            tell(
                "The text has {number} characters; allowed are {most}. Split it into several "
                "tables.",
                number=written(f"{len(text):,}"),
                most=written(f"{MOST_BYTES:,}"),
            )
        )
    for position, character in enumerate(text):
        if (character < " " and character not in _SPACES) or character == "\x7f":
            line = text.count("\n", 0, position) + 1
            raise TableError(
                tell(
                    "Line {line} holds the control character {code}, which no text has; this is "
                    "not a table of text. Save the table as CSV in UTF-8.",
                    line=line,
                    code=f"{ord(character):02x}",
                )
            )
    return text


def read_table(text: str, delimiter: str = "") -> Table:
    """Header and rows of a delimited text; lines that begin with # are skipped, and empty ones.

    Titles above the header are left out, and so is the line `sep=;` that spreadsheets write.
    `delimiter` is one of DELIMITERS, or empty: it is found out. Raises TableError, naming
    the line, when a quotation mark is never closed or a limit is passed. Cost: linear.

    >>> table = read_table("# mine\\ncode;sire\\nR1;\\nR2;R1\\n")
    >>> table.headers, [row.line for row in table.rows], table.delimiter
    (('code', 'sire'), [3, 4], ';')
    """
    text = checked_text(text)
    delimiter = delimiter or find_delimiter(text)
    found = _below_titles(_rows(text, delimiter))
    first = next(found, None)
    if first is None:
        raise TableError(tell("The table is empty: it needs a header line and rows below it."))
    headers = _headers(first)
    rows: list[Row] = []
    for line, cells in found:
        if len(rows) == MOST_ROWS:
            raise TableError(
                tell(
                    "The table has more than {most} rows (line {line}); allowed are {most}. Split "
                    "it into several tables, ancestors first.",
                    most=written(f"{MOST_ROWS:,}"),
                    line=line,
                )
            )
        rows.append(_row(line, cells, headers))
    if not rows:
        raise TableError(
            tell("The table holds a header and nothing below it; write a row for each record.")
        )
    return Table(headers, tuple(rows), delimiter)


def _below_titles(found: Iterator[tuple[int, list[str]]]) -> Iterator[tuple[int, list[str]]]:
    """The rows from the header on: lines above it that hold a single value are titles."""
    begin = list(islice(found, MOST_TITLES + 2))
    titles = 0
    while titles < min(MOST_TITLES, len(begin) - 2) and _filled(begin[titles]) == 1:
        titles += 1
    if titles == MOST_TITLES or all(_filled(one) == 1 for one in begin):
        titles = 0
    return chain(begin[titles:], found)


def _filled(row: tuple[int, list[str]]) -> int:
    return sum(bool(cell.strip()) for cell in row[1])


def _headers(first: tuple[int, list[str]]) -> tuple[str, ...]:
    line, cells = first
    while cells and not cells[-1].strip():
        cells = cells[:-1]
    if len(cells) > MOST_COLUMNS:
        raise TableError(
            tell(
                "The header in line {line} names {number} columns; allowed are {most}.",
                line=line,
                number=len(cells),
                most=MOST_COLUMNS,
            )
        )
    return tuple(" ".join(cell.split())[:80] for cell in cells)


def _row(line: int, cells: list[str], headers: tuple[str, ...]) -> Row:
    for header, cell in zip(headers, cells, strict=False):
        if len(cell) > LONGEST_CELL:
            raise TableError(
                tell(
                    "The value under “{header}” in line {line} has {number} characters; allowed "
                    "are {most}. Perhaps a quotation mark is not closed.",
                    header=header,
                    line=line,
                    number=written(f"{len(cell):,}"),
                    most=written(f"{LONGEST_CELL:,}"),
                )
            )
    while len(cells) > len(headers) and not cells[-1].strip():
        cells = cells[:-1]
    filled = [cell.strip() for cell in cells[: len(headers)]]
    filled += [""] * (len(headers) - len(filled))
    return Row(line, tuple(filled), len(cells))


def find_delimiter(text: str) -> str:
    """Comma, semicolon or tab, whichever separates the values; comma when nothing tells.

    >>> find_delimiter("code\\tborn\\nR1\\t3,5\\n")
    '\\t'
    """
    if said := _SEPARATOR_LINE.match(text):
        return said[1]
    telling = (
        line for line in text.splitlines() if line.strip() and not line.lstrip(" ").startswith("#")
    )
    sample = list(islice(telling, 20))
    if not sample:
        return ","
    header = sample[0]
    try:
        sniffed = csv.Sniffer().sniff("\n".join(sample)[:_SNIFFED_CHARACTERS], ",;\t").delimiter
    except csv.Error:
        sniffed = ""
    if sniffed and sniffed in header:
        return sniffed
    return max(DELIMITERS, key=lambda delimiter: header.count(delimiter))


class _Lines:
    """The lines of a text for the reader of rows, without comments, counting as it goes.

    A # begins a comment only where a row begins, not inside a quoted value.
    """

    def __init__(self, text: str) -> None:
        self._lines = io.StringIO(text, newline="")
        self._number = 0
        self.row_line = 0
        self.row_begins = True

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        for line in self._lines:
            self._number += 1
            if self.row_begins:
                is_first = self._number == 1 and _SEPARATOR_LINE.match(line)
                if is_first or line.lstrip().startswith("#"):
                    continue
                self.row_line, self.row_begins = self._number, False
            return line
        raise StopIteration


def _rows(text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    lines = _Lines(text)
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    while True:
        lines.row_begins = True
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as problem:
            raise TableError(_csv_trouble(str(problem), lines.row_line)) from None
        if any(cell.strip() for cell in cells):
            yield lines.row_line, cells


def _csv_trouble(problem: str, line: int) -> str:
    if "unexpected end" in problem:
        return tell(
            "A quotation mark in the row that begins in line {line} is never closed.", line=line
        )
    if "expected after" in problem:
        return tell(
            "In line {line}, text follows a closing quotation mark; a quotation mark inside a "
            'quoted value is written twice ("").',
            line=line,
        )
    if "field larger" in problem:
        return tell(
            "A value in line {line} has more than {most} characters; perhaps a quotation mark is "
            "not closed.",
            line=line,
            most=written(f"{LONGEST_CELL:,}"),
        )
    return tell(
        "Line {line} cannot be read as a row of a table ({problem}).", line=line, problem=problem
    )
