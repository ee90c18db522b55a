"""How far tables had come to which rows are added every day, and what was written since.

SQLite has one writer at a time and hands out its keys in the order of writing: the last key says
all. On PostgreSQL a row may take its key early and be there late, so there the marks of a moment
carry the snapshot they were read in, and each transaction that adds rows writes the least of their
keys beside its mark: new is what those have added whom the snapshot did not see. What a row was
before it was changed or removed is noted by a trigger (`changes.py`).
"""

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from django.db import connection
from django.db.models import Model, QuerySet

from breeding.program.frame.memory import remembered_while_reading
from breeding.program.unchanged.along import take_along
from breeding.program.unchanged.changes import Before, changed_since
from breeding.program.unchanged.marks import CHANGED, COME, TABLE

ASKED = "added since"  # by both snapshots, as this request has asked since it wrote anything
take_along(ASKED, None)
Row = TypeVar("Row", bound=Model)
Come = Mapping[str, Any]  # by table: its last key, or a snapshot; by CHANGED: where the notes stood


@dataclass(frozen=True)
class Written:
    """What was written to a table since an answer was kept.

    last: the key after which lies every row that was added since; None: none was. Rows after it
    may have been there before: whoever reckons with them reckons with more than is new. before:
    the rows that were changed or removed, as they were. since: when it was kept, for whoever
    remembers an answer of this request.
    """

    last: int | None
    before: tuple[Before, ...] = ()
    since: Hashable = None

    def added(self, rows: QuerySet[Row]) -> QuerySet[Row]:
        """Of these rows those that were added, by key: so they are found by it among very many.

        Without the order SQLite may well look through all that some other index finds.
        """
        return rows.none() if self.last is None else rows.filter(pk__gt=self.last).order_by("pk")

    def told(self, rows: QuerySet[Any], *names: str) -> list[tuple[Any, ...]]:
        """These columns of every row that was written: of these rows those that were added, and
        those that were changed as they are now; and as it was before each that was changed or
        removed, whether it was one of these rows or not. names: of `told_when_changed`.
        """
        were = [tuple(one[name] for name in names) for one in self.before]
        return [*self.are(rows, *names), *were]

    def are(self, rows: QuerySet[Any], *names: str) -> list[tuple[Any, ...]]:
        """The same, as they are now alone."""
        found = list(self.added(rows).values_list(*names))
        if self.before:
            found += rows.filter(pk__in=self.changed).order_by().values_list(*names)
        return found

    @property
    def changed(self) -> set[int]:
        """The keys of those that were changed or removed."""
        return {one["id"] for one in self.before}


def how_far(tables: Iterable[str], marks: Mapping[str, Any]) -> Come | None:
    """How far tables had come when these marks were read; None where the marks do not say it."""
    found = {table: marks.get(table + COME, marks.get(COME)) for table in (*tables, CHANGED)}
    return None if None in found.values() else found


def written_since(
    table: str, came: Come | None, changed: Any, marks: Mapping[str, Any]
) -> Written | None:
    """What was written to a table whose mark is another one; None where that cannot be told.

    came: how far it had come; changed: its mark of changes then; marks: those of now.
    """
    if came is None or table not in marks or table not in came:
        return None
    before: tuple[Before, ...] = ()
    if marks.get(table + CHANGED) != changed:
        now = marks.get(CHANGED + COME, marks.get(COME))
        noted = changed_since(table, came[CHANGED], now)
        if noted is None:
            return None
        before = noted
    last = _last_before(table, came[table], marks)
    if last is None and not before:
        return None
    return Written(last, before, (came[table], came[CHANGED]))


def _last_before(table: str, came: Any, marks: Mapping[str, Any]) -> int | None:
    """The key after which lies every row that was added since; None where none was added, or it
    cannot be told."""
    if isinstance(came, int):
        return came
    held: dict[Any, Mapping[str, int]] = remembered_while_reading(ASKED, dict)
    since = came, marks.get(COME)
    if since not in held:
        held[since] = _least_added_since(came)
    added = held[since]
    return added[table] - 1 if table in added else None


def _least_added_since(snapshot: str) -> Mapping[str, int]:
    """By table, the least key of those added by transactions that this snapshot did not see."""
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT name, MIN(least) FROM {TABLE} WHERE least IS NOT NULL "  # noqa: S608
            "AND NOT pg_visible_in_snapshot(writer, %s::pg_snapshot) GROUP BY name",
            [snapshot],
        )
        return dict(cursor.fetchall())
