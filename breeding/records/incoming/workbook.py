"""The sheets of a workbook (xlsx, xls, ods) as texts of tables; no Django in it.

The file is opened in a process of its own with little memory and time, since a small one can
unfold to gigabytes; run as a program, this module is that process.
"""

import datetime
import io
import json
import subprocess
import sys
import zipfile
from collections.abc import Iterable, Sequence
from contextlib import suppress
from csv import writer
from dataclasses import dataclass
from typing import Any

from breeding.records.incoming.delimited import MOST_ROWS, TableError, megabytes
from breeding.words.language import message, tell
from breeding.words.numbers import written

MOST_BYTES = 8 * 1024 * 1024
MOST_UNPACKED_BYTES = 80 * 1024 * 1024
MOST_SHEETS = 24
MOST_CELLS = 400_000
_MOST_SECONDS = 20
_MOST_MEMORY_BYTES = 1024**3
_ZIP, _OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
_ENCRYPTED = b"E\0n\0c\0r\0y\0p\0t\0e\0d\0P\0a\0c\0k\0a\0g\0e\0"  # a protected xlsx has this part
_ALLOWED = message("Save it as xlsx or ods without a password, or each sheet as CSV.")
_PROTECTED = message("The workbook is protected by a password.")
_DAMAGED = message("The workbook is damaged, or its kind is not read here.")


@dataclass(frozen=True)
class Sheet:
    """One sheet: its name, and its cells as a table of text with commas; a line is a row of it."""

    name: str
    text: str


def is_workbook(raw: bytes) -> bool:
    """Whether these bytes begin as a workbook does."""
    return raw.startswith((_ZIP, _OLE))


def read_workbook(raw: bytes) -> list[Sheet]:
    """Every sheet that holds anything. Raises TableError that says what is wrong with the file."""
    if len(raw) > MOST_BYTES:
        raise TableError(
            tell(
                "The workbook has {size} MB; allowed are {most} MB. Save its sheets as CSV, "
                "without pictures.",
                size=megabytes(len(raw)),
                most=MOST_BYTES // 1024 // 1024,
            )
        )
    if raw.startswith(_OLE) and _ENCRYPTED in raw:
        raise _refused(_PROTECTED, _ALLOWED)
    if raw.startswith(_ZIP):
        _check_unpacked(raw)
    said = _in_a_process_of_its_own(raw)
    if "refused" in said:
        raise _refused(*said["refused"], **said.get("values", {}))
    return [Sheet(one["name"], _as_text(one["rows"])) for one in said["sheets"]]


def _check_unpacked(raw: bytes) -> None:
    size = 0
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as packed:
            names = set(packed.namelist())
            for part in packed.infolist():
                with packed.open(part) as file:
                    while some := file.read(1024 * 1024):
                        size += len(some)
                        if size > MOST_UNPACKED_BYTES:
                            raise _refused(
                                message(
                                    "The workbook unfolds to more than {most} MB, which is not "
                                    "read. Save the sheet as CSV."
                                ),
                                most=MOST_UNPACKED_BYTES // 1024 // 1024,
                            )
    except TableError:
        raise
    except Exception:  # whatever a broken archive makes of its reader
        raise _refused(_DAMAGED, _ALLOWED) from None
    if not {"xl/workbook.xml", "xl/workbook.bin", "content.xml"} & names:
        raise _refused(message("The file is packed, and not a workbook."), _ALLOWED)


def _refused(*sentences: str, **values: object) -> TableError:
    """Why it is not read, in the reader's language, each sentence whole."""
    return TableError(" ".join(tell(one, **values) for one in sentences))


def _in_a_process_of_its_own(raw: bytes) -> dict[str, Any]:
    try:
        done = subprocess.run(  # noqa: S603 - this very module, and nothing that was typed
            [sys.executable, "-m", __name__],
            input=raw,
            capture_output=True,
            timeout=_MOST_SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise _refused(
            message("The workbook takes longer than {most} seconds to read."),
            _ALLOWED,
            most=_MOST_SECONDS,
        ) from None
    if done.returncode:  # it ended without a word: out of memory
        raise TableError(
            tell(
                "The workbook needs too much memory to read; one value far from all others makes a "
                "sheet huge. Delete the empty rows and columns, or save each sheet as CSV."
            )
        )
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def _as_text(rows: Iterable[Sequence[str]]) -> str:
    text = io.StringIO()
    writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue()


# ------------------------------------------------------------------------ in the other process


def as_typed(cell: Any) -> str:
    """A cell as somebody would type it.

    >>> as_typed(2019.0), as_typed(31.5), as_typed(datetime.date(2024, 5, 3)), as_typed(True)
    ('2019', '31.5', '2024-05-03', 'yes')
    >>> as_typed(1.234), as_typed(datetime.datetime(2024, 5, 3, 14, 30))
    ('1.2340', '2024-05-03 14:30')
    """
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        number = f"{cell:.10g}"
        # Three digits behind a point could be thousands to a reader of what was typed.
        return f"{number}0" if len(number.partition(".")[2]) == 3 else number
    if isinstance(cell, datetime.datetime):
        is_day = cell.time() == datetime.time()
        return cell.date().isoformat() if is_day else f"{cell:%Y-%m-%d %H:%M}"
    if isinstance(cell, datetime.time):
        return f"{cell:%H:%M}"
    return " ".join(str(cell).split())


def _rows_of(sheet: Any) -> list[list[str]]:
    if sheet.total_height * sheet.total_width > MOST_CELLS:
        raise _TooLargeError(
            sheet=sheet.name,
            rows=written(f"{sheet.total_height:,}"),
            columns=written(f"{sheet.total_width:,}"),
            most=written(f"{MOST_CELLS:,}"),
        )
    rows = [[as_typed(cell) for cell in row] for row in sheet.to_python(skip_empty_area=False)]
    for (top, left), (bottom, _) in sheet.merged_cell_ranges or ():
        for row in rows[top + 1 : bottom + 1]:
            row[left] = rows[top][left]
    return rows[: MOST_ROWS + 50]


class _TooLargeError(Exception):
    """A sheet of more cells than are read; `values` fill in what is said of it."""

    def __init__(self, **values: str) -> None:
        self.values = values
        super().__init__()


# What is said is put into the reader's language by the process that asked.
_MANY_SHEETS = message("The workbook has {number} sheets; allowed are {most}.")
_LARGE_SHEET = message(
    "The sheet “{sheet}” has {rows} rows and {columns} columns; allowed are {most} cells. Delete "
    "what is empty, or split it."
)
_EMPTY = message("The workbook is empty.")


def _sheets_in(raw: bytes) -> dict[str, Any]:
    from python_calamine import CalamineError, CalamineWorkbook, PasswordError

    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(raw))
        if len(book.sheet_names) > MOST_SHEETS:
            many = len(book.sheet_names)
            return {"refused": [_MANY_SHEETS], "values": {"number": many, "most": MOST_SHEETS}}
        found = [(name, _rows_of(book.get_sheet_by_name(name))) for name in book.sheet_names]
    except PasswordError:
        return {"refused": [_PROTECTED, _ALLOWED]}
    except _TooLargeError as problem:
        return {"refused": [_LARGE_SHEET], "values": problem.values}
    except (CalamineError, OSError, ValueError):
        return {"refused": [_DAMAGED, _ALLOWED]}
    sheets = [{"name": name, "rows": rows} for name, rows in found if any(map(any, rows))]
    return {"sheets": sheets} if sheets else {"refused": [_EMPTY]}


def _keep_small() -> None:
    with suppress(ImportError, ValueError, OSError):  # not on every system
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (_MOST_MEMORY_BYTES, _MOST_MEMORY_BYTES))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


if __name__ == "__main__":
    _keep_small()
    json.dump(_sheets_in(sys.stdin.buffer.read()), sys.stdout)
