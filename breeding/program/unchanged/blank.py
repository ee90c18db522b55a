"""Tables without any row: whatever is read from them is known without a question.

Few breeders use every room. Which tables are blank is asked once a process, of all together and
with their marks; of each it holds until its mark is another one.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models.sql import Query
from django.db.models.sql.constants import INNER

_blank: dict[str, Mapping[str, Any]] = {}  # with the mark each had when it was found blank


def blank_ones(
    tables: Iterable[str], now: Mapping[str, Any], connection: BaseDatabaseWrapper
) -> frozenset[str]:
    """Those of the tables that have no row, as of these marks."""
    known = _blank.get(_name(connection), {})
    return frozenset(one for one in tables if one in known and known[one] == now.get(one))


def asks_which(connection: BaseDatabaseWrapper, tables: Iterable[str]) -> str:
    """A column that says of the table whose mark stands in the row whether it has rows.

    NULL where it is known which are blank, or the row is about no such table; and in a
    transaction, which writes a mark once, but may fill the table afterwards.
    """
    if _name(connection) in _blank or connection.in_atomic_block:
        return "NULL"
    each = (
        f"WHEN '{one}' THEN EXISTS (SELECT 1 FROM \"{one}\")"  # noqa: S608
        for one in sorted(tables)
    )
    return f"CASE name {' '.join(each)} END"


def keep_blank(
    connection: BaseDatabaseWrapper, marks: Mapping[str, Any], has_rows: Mapping[str, Any]
) -> None:
    """As they were found together with their marks."""
    if _name(connection) not in _blank:
        none = {one: marks[one] for one, has in has_rows.items() if has is not None and not has}
        _blank[_name(connection)] = none


def forget_blank() -> None:
    """As in a process that was started just now."""
    _blank.clear()


def _name(connection: BaseDatabaseWrapper) -> str:
    return str(connection.settings_dict["NAME"])


def needed(query: Query) -> frozenset[str]:
    """The tables each of which must have a row, or the question finds none: of its joins those
    that leave nothing out. They are known once it was written as SQL.
    """
    inner: Query | None = getattr(query, "inner_query", None)
    asked = inner or query
    if asked.combinator or asked.select_for_update or asked.model is None:
        return frozenset()
    joined = {
        one.table_name
        for alias, one in asked.alias_map.items()
        if asked.alias_refcount[alias] and one.join_type == INNER
    }
    return frozenset(joined | {asked.get_meta().db_table})
