"""Reading the text of a table: encodings, separators, comments, limits."""

import pytest

from breeding.records.incoming.delimited import (
    LONGEST_CELL,
    MOST_BYTES,
    MOST_ROWS,
    TableError,
    decode,
    find_delimiter,
    read_table,
)

SMALL = "code,name\nR1,Åse\n"


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"]
)
def test_the_same_text_comes_out_of_every_encoding(encoding):
    assert decode(SMALL.encode(encoding)) == SMALL


def test_utf_16_with_the_large_end_first_is_read_by_its_mark():
    assert decode(b"\xfe\xff" + SMALL.encode("utf-16-be")) == SMALL


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (bytes(range(256)), "not text"),
        (b"code,name\nR1,\x00\n", "control character 00"),
        (b"PK\x03\x04whatever", "spreadsheet"),
        (b"%PDF-1.7", "a PDF"),
        (b"\x89PNG\r\n", "a picture"),
        (b"\xff\xfea", "not text"),
        (b"\xff\xfe\x00\x00c\x00\x00\x00", "control character 00"),
        (b"x" * (MOST_BYTES + 1), "allowed are 2 MB"),
    ],
)
def test_what_is_not_text_is_refused_with_what_is_allowed(raw, words):
    with pytest.raises(TableError, match=words):
        decode(raw)


@pytest.mark.parametrize(
    ("text", "delimiter"),
    [
        ("code,sire,dam\nA,,\n", ","),
        ("code;sire;dam\nA;1,5;2,5\nB;3,5;4,5\n", ";"),
        ("code\tsire\tdam\nA\tx, y\t\n", "\t"),
        ("code\nA\nB\n", ","),
        ("# a, comment, with, commas\ncode;name\nA;x\n", ";"),
        ('code;note\nA;"x, y, z"\nB;"u, v, w"\n', ";"),
        ("", ","),
    ],
)
def test_the_separator_is_found_out(text, delimiter):
    assert find_delimiter(text) == delimiter


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_rows_carry_the_line_they_begin_on(ending):
    text = ending.join(["# comment", "code,note", "", 'A,"two', '# lines"', "  # more", "B,x"])
    table = read_table(text)
    assert [(row.line, row.cells[0]) for row in table.rows] == [(4, "A"), (7, "B")]
    assert table.rows[0].cells[1] == f"two{ending}# lines"


def test_short_rows_are_filled_and_long_ones_counted():
    table = read_table("code,sire,dam\nA\nB,A,,\nC,A,B,D\n")
    assert [row.cells for row in table.rows] == [("A", "", ""), ("B", "A", ""), ("C", "A", "B")]
    assert [row.given for row in table.rows] == [1, 3, 4]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "table is empty"),
        ("\n\n# only a comment\n", "table is empty"),
        ("code,sire,dam\n", "a header and nothing below"),
        (",".join(f"c{n}" for n in range(100)) + "\n1\n", "names 100 columns; allowed are 60"),
        ('code,note\nA,"never closed\nB,x\n', "line 2 is never closed"),
        ('code,note\nA,"x"y\n', "line 2, text follows a closing quotation mark"),
        (f"code,note\nA,{'x' * (LONGEST_CELL + 1)}\n", "under “note” in line 2 has 4,001"),
        (f"code,note\nA,{'x' * 200_000}\n", "line 2 has more than 4,000 characters"),
        ("code\n" + "A\n" * (MOST_ROWS + 1), "more than 20,000 rows"),
        ("code\nA\x0c\nB\x1b\n", "control character 1b"),
    ],
)
def test_what_is_no_table_is_refused_by_line(text, words):
    with pytest.raises(TableError, match=words):
        read_table(text)
