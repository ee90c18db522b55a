"""Workbooks: what stands in their cells, and files that are refused in words."""

import datetime
import io
import zipfile

import pytest
from openpyxl import Workbook

from breeding.records.incoming import workbook
from breeding.records.incoming.delimited import TableError, read_table
from breeding.records.incoming.workbook import read_workbook

pytestmark = pytest.mark.one_database("how the bytes of a file become a table")


def book(*rows, name="Rays", merge=""):
    made = Workbook()
    sheet = made.active
    sheet.title = name
    for row in rows:
        sheet.append(row)
    if merge:
        sheet.merge_cells(merge)
    return saved(made)


def saved(made: Workbook) -> bytes:
    file = io.BytesIO()
    made.save(file)
    return file.getvalue()


def test_cells_are_read_as_somebody_would_type_them():
    raw = book(
        ["code", "born", "seen", "share", "width", "alive"],
        [7, datetime.date(2019, 5, 3), datetime.datetime(2024, 5, 3, 14, 30), 0.5, 31.125, True],
    )
    (sheet,) = read_workbook(raw)
    (row,) = read_table(sheet.text).rows
    assert row.cells == ("7", "2019-05-03", "2024-05-03 14:30", "0.5", "31.1250", "yes")


def test_titles_above_the_header_and_empty_rows_keep_the_numbers_of_lines():
    raw = book(["Stock list"], [], ["code", "name"], ["A", "Mira"], [], ["B", "Vega"])
    table = read_table(read_workbook(raw)[0].text)
    assert table.headers == ("code", "name")
    assert [row.line for row in table.rows] == [4, 6]


def test_a_cell_that_reaches_over_rows_stands_in_each_of_them():
    raw = book(["dam", "code"], ["Mira", "A"], [None, "B"], [None, "C"], merge="A2:A3")
    rows = read_table(read_workbook(raw)[0].text).rows
    assert [row.cells for row in rows] == [("Mira", "A"), ("Mira", "B"), ("", "C")]


def test_every_sheet_that_holds_something_is_read():
    made = Workbook()
    made.active.append(["code"])
    made.create_sheet("Empty")
    made.create_sheet("Water").append(["tank"])
    assert [one.name for one in read_workbook(saved(made))] == ["Sheet", "Water"]


def far_cell() -> bytes:
    made = Workbook()
    made.active["A1"], made.active["XFD1048576"] = "code", 1
    return saved(made)


def bomb() -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/workbook.xml", b" " * (workbook.MOST_UNPACKED_BYTES + 1))
    return file.getvalue()


def other_archive() -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as packed:
        packed.writestr("letter.txt", b"Dear Ida")
    return file.getvalue()


REFUSED = {
    "a password": (b"\xd0\xcf\x11\xe0" + "EncryptedPackage".encode("utf-16-le") * 2, "password"),
    "half a file": (book(["code"], ["A"])[:400], "is damaged"),
    "an old file of something else": (b"\xd0\xcf\x11\xe0" + b"x" * 3000, "is damaged"),
    "another archive": (other_archive(), "and not a workbook"),
    "a bomb": (bomb(), "unfolds to more than 80 MB"),
    "a cell far away": (far_cell(), "far from all others makes a sheet huge"),
    "too large": (b"PK\x03\x04" + b"x" * workbook.MOST_BYTES, "allowed are 8 MB"),
    "nothing in it": (book(), "The workbook is empty"),
}


@pytest.mark.parametrize("what", REFUSED)
def test_what_cannot_be_read_is_refused_in_words(what):
    raw, said = REFUSED[what]
    with pytest.raises(TableError, match=said):
        read_workbook(raw)


def test_the_line_that_names_the_separator_is_no_header():
    table = read_table("sep=;\ncode;name\nA;Mira, the old one\n")
    assert table.headers == ("code", "name")
    assert [(row.line, row.cells) for row in table.rows] == [(3, ("A", "Mira, the old one"))]
