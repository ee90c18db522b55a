"""What stands in an archive, in words: one line for each column of each file."""

from collections.abc import Iterator

from breeding.program.lists.spreadsheets import harmless
from breeding.records.archive.columns import columns_of
from breeding.records.archive.kinds.kind import Kind

HEADER = (
    *("file", "what_a_row_is", "column", "type", "unit", "may_be_empty", "meaning"),
    *("allowed_values", "points_to"),
)

READ_ME = """\
Everything of one breeding program, in files that any program can read.

records/*.csv    one file for each kind of record, one row for each record, the oldest first
files/           photographs, documents and issued sheets, byte for byte
dictionary.csv   what each column means, its unit, what may stand in it, and where it points to
manifest.json    which files belong to it, with the SHA-256 digest, size and rows of each
keys/            only where it was asked for: what opens the program and signs its sheets

The CSV files are in UTF-8, separated by commas, with CRLF at the end of each line (RFC 4180).
Days are written like 2026-03-31, moments like 2026-03-31T18:05:00+00:00, true and false as yes and
no; numbers have a point. The unit stands in the name of the column: disc_width_mm is millimetres.

A text that a spreadsheet would run as a formula (it begins with = + - @, a tab or a line break),
or that begins with an apostrophe, has one more apostrophe before it. Take that one away, and the
text is as it was. An empty cell is nothing on record; an apostrophe alone is an empty text, in the
few columns that can hold both.

A column that ends in _id points to the id of a row in the file that dictionary.csv names.
history.csv names in of_file and object_id the row that was changed.

To make a program of it again, in an empty directory:

    manage.py load_export THIS_FILE.zip --home DIRECTORY
"""


def lines(kinds: list[Kind], *, with_keys: bool) -> Iterator[list[str]]:
    """The header of the dictionary and its lines, each as harmless as any other."""
    yield [*HEADER]
    for kind in kinds:
        for column in columns_of(kind, with_keys=with_keys):
            yield [
                harmless(text)
                for text in (
                    kind.file,
                    str(kind.about),
                    column.name,
                    column.type_words,
                    column.unit,
                    "yes" if column.may_be_empty else "no",
                    column.meaning,
                    column.allowed,
                    column.points_to,
                )
            ]
