"""A list as a table in CSV: as it is narrowed and sorted, with the columns that are shown."""

import csv
import datetime
import html
import io
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.utils import timezone
from django.utils.html import strip_tags
from django.utils.safestring import SafeString

from breeding.program.lists.spreadsheets import harmless
from breeding.words.language import tell

if TYPE_CHECKING:
    from breeding.program.lists.page import ListTable

ROWS_AT_ONCE = 500
NO_WORDS = {"face-cell", "press"}  # pictures and what can be pressed
NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")


def csv_of(table: "ListTable") -> HttpResponse:
    """Every row of the list, not only those of a page; UTF-8 with its mark, for spreadsheets."""
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerows(_lines(table))
    called = table.list_key.removesuffix(":index").replace(":", "-").replace("_", "-")
    name = f"{called}-{table.today.isoformat()}.csv"
    answer = HttpResponse(out.getvalue().encode("utf-8-sig"), "text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def _lines(table: "ListTable") -> Iterator[list[str]]:
    shown = [one for one in table.columns if one.header and not NO_WORDS & set(_classes(one))]
    yield [harmless(tell(text_of(one.header))) for one in shown]
    for page in Paginator(table.rows, ROWS_AT_ONCE):
        rows: Any = page.object_list
        table.gather(list(rows.data))
        for row in rows:
            yield [_cell(_value(table, row, one)) for one in shown]


def _classes(bound: Any) -> list[str]:
    return str(bound.column.attrs.get("td", {}).get("class", "")).split()


def _value(table: "ListTable", row: Any, bound: Any) -> Any:
    """As the list says it; a day or a moment in figures, since a file outlives the day it is of.

    A table that says it otherwise in a file has a method `value_` of the column's name.
    """
    if not hasattr(table, f"value_{bound.name}"):
        stored = bound.accessor.resolve(row.record, quiet=True)
        if isinstance(stored, datetime.date):
            return figures_of(stored)
    return row.get_cell_value(bound.name)


def figures_of(when: datetime.date) -> str:
    """A day, or a moment by the program's clock, as spreadsheets read it.

    >>> figures_of(datetime.date(2026, 3, 31))
    '2026-03-31'
    """
    if isinstance(when, datetime.datetime):
        return f"{timezone.localtime(when):%Y-%m-%d %H:%M}"
    return when.isoformat()


def _cell(value: Any) -> str:
    text = text_of(value)
    return text if NUMBER.fullmatch(text) else harmless(text)


def text_of(value: Any) -> str:
    """What a reader sees of a cell: of what is drawn its words, of a text all of it.

    >>> text_of(SafeString('<a href="/1">Mira &amp; Co</a> <span class="soft">R1</span>'))
    'Mira & Co R1'
    >>> text_of("a < b"), text_of(None), text_of(3)
    ('a < b', '', '3')
    """
    if not isinstance(value, SafeString):
        return "" if value is None else str(value)
    apart = re.sub(r"<(?:br|/p|/li|/div|/dd)\b[^>]*>", " ", value)
    return " ".join(html.unescape(strip_tags(apart)).split())
