"""One way to show a list: narrowed, sorted, a page at a time, with the columns somebody chose."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

import django_tables2 as tables
from django.db.models import F, Model, QuerySet
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.html import format_html
from django_tables2.data import TableQuerysetData
from django_tables2.utils import OrderBy

from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.program.generics import Words
from breeding.program.lists.narrowing import ListFilter
from breeding.program.lists.taken_out import csv_of
from breeding.program.models import Withdrawable
from breeding.program.queries import shown_columns
from breeding.words.language import message, tell

PER_PAGE = 50
AS = "as"  # asks for the list as a file
LISTS: dict[str, type["ListTable"]] = {}  # by the route of the page that shows the list


def column(
    said: Words = "", *, kind: str = "", is_number: bool = False, **more: Any
) -> tables.Column:
    """A column; `said` stands before the value where a row is a line of text, as on a phone.

    `kind` is the cell's class: "name" opens the row, "face-cell" is a picture before it,
    "press" holds what can be pressed, "short" stays on one line.
    """
    classes = f"{kind} num".strip() if is_number else kind
    cell = {"class": classes} if classes else {}
    said_before = {"data-said": said} if said else {}
    return tables.Column(attrs={"th": dict(cell), "td": cell | said_before}, **more)


def computed(said: Words = "", **more: Any) -> tables.Column:
    """A column that no field of the row holds: `render_...` of the table says what stands in it."""
    more.setdefault("orderable", "order_by" in more)
    return column(said, empty_values=(), **more)


def linked(record: Any, words: object = "") -> str:
    """The record's name, leading to its page."""
    return format_html('<a href="{}">{}</a>', record.get_absolute_url(), words or record)


def with_withdrawal(words: str, record: Withdrawable) -> str:
    """What opens a row, and after it why the record counts no more."""
    if not record.is_withdrawn:
        return words
    why = tell("withdrawn: {reason}", reason=record.why_withdrawn)
    return format_html('{} <span class="soft">{}</span>', words, why)


class SortedRows(TableQuerysetData):
    """Rows of a query in the order asked for; what is not known comes last, whichever way.

    Of a column that is known of every row nothing is said of that, so that its index can serve.
    """

    def order_by(self, aliases: Sequence[str]) -> None:
        wanted = []
        for alias in aliases:
            order = OrderBy(alias)
            bound = self.table.columns[order.bare]
            for one in bound.column.order_by or (bound.accessor,):
                path = OrderBy(one).bare.replace(".", "__")
                downwards = OrderBy(one).is_descending != order.is_descending
                turn = F(path).desc if downwards else F(path).asc
                wanted.append(
                    turn() if _is_always_known(self.data.model, path) else turn(nulls_last=True)
                )
        if wanted:
            self.data: QuerySet[Any] = self.data.order_by(*wanted, "-pk")


def _is_always_known(model: type[Model], path: str) -> bool:
    """Whether every row has a value there: a column of its own, or of a record it points to."""
    related: Any = model
    for part in path.split("__"):
        columns = {one.name: one for one in related._meta.concrete_fields} if related else {}
        if part not in columns or columns[part].null:
            return False
        related = columns[part].related_model
    return True


class ListTable(tables.Table):
    """A table that a list page can show.

    Columns named in `always` cannot be hidden; those in `further` are shown to who asks for them;
    those in `of_buyers` only to who may see buyers. What a row is called, `one` and `many`, are
    messages, said when the list is drawn. `explains` names words of the glossary, which stand over
    the list with a question mark each.
    """

    list_key: ClassVar[str] = ""
    one: ClassVar[str] = message("row")
    many: ClassVar[str] = message("rows")
    sorted_by: ClassVar[str] = ""
    always: ClassVar[tuple[str, ...]] = ()
    further: ClassVar[tuple[str, ...]] = ()
    of_buyers: ClassVar[tuple[str, ...]] = ()
    explains: ClassVar[tuple[str, ...]] = ()

    def __init_subclass__(cls, **kwargs: Any) -> None:
        super().__init_subclass__(**kwargs)
        if cls.list_key:
            LISTS[cls.list_key] = cls

    def __init__(self, rows: Any, *, request: PageRequest) -> None:
        faced = " faced" if "face" in type(self).base_columns else ""
        unseen = () if request.user.may_see_buyers else self.of_buyers
        super().__init__(rows, default="", attrs={"class": f"list{faced}"}, exclude=unseen)
        self.request, self.program, self.today = request, request.program, clock.today()
        asked = request.GET.getlist(self.order_by_field)
        known = [one for one in asked if one.removeprefix("-") in self.columns.columns]
        self.order_by = known
        if not self.order_by and self.sorted_by:
            self.order_by = [self.sorted_by]
        self.empty_text = tell(
            "No {record} matches. Change the search above, or clear it.", record=tell(self.one)
        )
        self.paginate(per_page=PER_PAGE)
        self.page = self.paginator.get_page(request.GET.get(self.page_field))

    @classmethod
    def choosable(cls) -> list[str]:
        """The columns that can be shown or hidden, in their order."""
        return [name for name in cls.base_columns if name not in cls.always]

    def show_only(self, chosen: Iterable[str] | None) -> None:
        """Show these of the choosable columns; nothing chosen: those shown at first."""
        for name in (one for one in self.choosable() if one in self.columns.columns):
            is_shown = name in chosen if chosen is not None else name not in self.further
            (self.columns.show if is_shown else self.columns.hide)(name)

    def gather(self, rows: list[Any]) -> None:
        """Ask at once what the rows of this page need; called before they are drawn."""

    def shows(self, name: str) -> bool:
        """Whether a column is shown to this person."""
        return bool(self.columns[name].visible)


@dataclass(frozen=True)
class ListOf:
    """A list: all its rows, how they are narrowed and shown, and what to do without any.

    `first`, said where there are no rows at all, is a message.
    """

    table: type[ListTable]
    narrowed: type[ListFilter]
    rows: QuerySet[Any]
    first: str
    as_rows: Callable[[QuerySet[Any]], Any] = SortedRows


@dataclass(frozen=True)
class Listed:
    """What `program/_list.html` draws."""

    table: ListTable
    filter: ListFilter
    total: int
    first: str
    query: str
    taken_out: str
    sort: str
    is_chosen: bool

    @property
    def count_words(self) -> str:
        """12 of 240 litters; 1 litter."""
        count = self.table.paginator.count
        records = tell(self.table.one if self.total == 1 else self.table.many)
        if count == self.total:
            return tell("{count} {records}", count=count, records=records)
        return tell("{count} of {total} {records}", count=count, total=self.total, records=records)

    @property
    def columns(self) -> list[tuple[str, str, bool]]:
        """Name, heading and whether it is shown, of each column that can be chosen."""
        there = self.table.columns.columns
        bound = (there[name] for name in self.table.choosable() if name in there)
        return [(one.name, heading(one), one.visible) for one in bound]


def heading(column: Any) -> str:
    """The head of a column; one without a name of its own is called as it is in the code."""
    return tell(str(column.header))


def narrowed(request: PageRequest, asked: ListOf) -> Listed:
    """Narrow, sort and page by the address; three queries and what the table gathers."""
    found = asked.narrowed(request.GET, queryset=asked.rows.all(), request=request)
    rows = found.qs if found.form.is_valid() else asked.rows.none()
    table = asked.table(asked.as_rows(rows), request=request)
    chosen = shown_columns(request.user, table.list_key)
    table.show_only(chosen)
    table.gather(list(table.page.object_list.data))
    return Listed(
        table=table,
        filter=found,
        total=asked.rows.count(),
        first=tell(asked.first),
        query=request.GET.urlencode(),
        taken_out=_query_of_all(request, table),
        sort=request.GET.get(table.order_by_field, "")[:100],
        is_chosen=chosen is not None,
    )


def _query_of_all(request: PageRequest, table: ListTable) -> str:
    """What asks for the same list as a file: narrowed and sorted alike, and all of it."""
    query = request.GET.copy()
    query.pop(table.page_field, None)
    query[AS] = "csv"
    return query.urlencode()


def list_page(request: PageRequest, template: str, asked: ListOf, **context: Any) -> HttpResponse:
    """The page of a list; the template shows it by `program/_list.html`, or takes it out."""
    listed = narrowed(request, asked)
    if request.GET.get(AS) == "csv" and listed.filter.form.is_valid():
        return csv_of(listed.table)
    return render(request, template, context | {"listed": listed})
