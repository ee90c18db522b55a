"""How far tables had come to which rows are added every day, and what was added since.

SQLite has one writer at a time and hands out its keys in the order of writing: the last key says
all. On PostgreSQL a row may take its key early and be there late, so there the marks of a moment
carry the snapshot they were read in, and each transaction that adds rows writes the least of their
keys beside its mark: new is what those have added whom the snapshot did not see.
"""

from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from django.db import connection
from django.db.models import Model, QuerySet

from breeding.program.frame.memory import remembered_while_reading
from breeding.program.unchanged.along import take_along
from breeding.program.unchanged.marks import COME, TABLE

ASKED = "added since"  # by both snapshots, as this request has asked since it wrote anything
take_along(ASKED, None)
Row = TypeVar("Row", bound=Model)
Come = Mapping[str, Any]  # by table: its last key, or a snapshot


def how_far(tables: Iterable[str], marks: Mapping[str, Any]) -> Come | None:
    """How far tables had come when these marks were read; None where the marks do not say it."""
    found = {table: marks.get(table + COME, marks.get(COME)) for table in tables}
    return None if None in found.values() else found


def added_after(last: int, rows: QuerySet[Row]) -> QuerySet[Row]:
    """Of these rows those with a later key, by key: so they are found by it among very many.

    Without the order SQLite may well look through all that some other index finds.
    """
    return rows.filter(pk__gt=last).order_by("pk")


def last_before(table: str, came: Any, marks: Mapping[str, Any]) -> int | None:
    """The key after which lies every row that was added since; None where that cannot be told.

    came: how far it had come; marks: those of now, by which it was added to. Rows after the key
    may have been there before: whoever reckons with them reckons with more than is new.
    """
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
