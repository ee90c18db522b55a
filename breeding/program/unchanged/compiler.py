"""Before a question is asked: whether it was answered before, and nothing was written since."""

from collections.abc import Hashable, Mapping
from typing import Any

from django.core.exceptions import EmptyResultSet
from django.db.models.sql.constants import GET_ITERATOR_CHUNK_SIZE, MULTI, SINGLE

from breeding.program.unchanged.blank import blank_ones, needed
from breeding.program.unchanged.marks import marks_of, standing, tables_of, watched
from breeding.program.unchanged.noted import note
from breeding.program.unchanged.rows import SHELF, values_once, weight


class AnswersFromMemory:
    """Mixed into the compilers of a database whose tables have marks."""

    connection: Any
    query: Any
    elide_empty: bool
    select: Any
    _written: tuple[str, tuple[Any, ...]] | None = None

    def as_sql(self, *args: Any, **kwargs: Any) -> tuple[str, tuple[Any, ...]]:
        """Written once for each question, not once to look for it and once to ask it."""
        written, self._written = self._written, None
        return written or super().as_sql(*args, **kwargs)  # type: ignore[misc]

    def _order_by_pairs(self) -> Any:
        """Django looks among the columns for the one to order by, and hashes each of them for it.

        Only one with a name is ever found there. Where none has, as of whole records, it is not
        looked for: that spares a twentieth of the work of a page.
        """
        columns, query = self.select, self.query
        named = query.selected or query.annotation_select or query.extra_select or query.combinator
        self.select = columns if named else ()
        pairs = [*super()._order_by_pairs()]  # type: ignore[misc]
        self.select = columns
        return pairs

    def execute_sql(
        self,
        result_type: Any = MULTI,
        chunked_fetch: bool = False,
        chunk_size: int = GET_ITERATOR_CHUNK_SIZE,
    ) -> Any:
        now = standing(self.connection)
        if not now or result_type not in (MULTI, SINGLE):
            return self._ask(result_type, chunked_fetch, chunk_size)
        try:
            sql, params = self.as_sql()
        except EmptyResultSet:
            return self._ask(result_type, chunked_fetch, chunk_size)
        if self._finds_nothing(now):
            return _given((), result_type)
        self._written = sql, params
        tables = tables_of(sql, watched(self.connection))
        marks = marks_of(tables, now) if tables is not None else None
        question = self._question(sql, params, result_type)
        if tables is None or marks is None or question is None:
            return self._ask(result_type, chunked_fetch, chunk_size)
        kept = SHELF.find(question, marks)
        if kept is not None:
            self._written = None
            note(tables)
            return _given(kept.answer, result_type)
        if chunked_fetch:  # there may be many; what is kept already is handed over all the same
            return self._ask(result_type, chunked_fetch, chunk_size)
        answer = _as_kept(self._ask(result_type, chunked_fetch, chunk_size), result_type)
        size = weight(answer, SHELF.most_of_one) + len(sql)
        if size > SHELF.most_of_one:
            SHELF.keep(question, marks, None, size)
        elif _never_changes(answer):
            answer = values_once(answer)
            SHELF.keep(question, marks, answer, size)
        return _given(answer, result_type)

    def _ask(self, *how: Any) -> Any:
        return super().execute_sql(*how)  # type: ignore[misc]

    def _finds_nothing(self, now: Mapping[str, Any]) -> bool:
        """Whether a table that it needs has no row; answered as Django answers what is empty."""
        if not self.elide_empty:
            return False
        found = blank_ones(needed(self.query), now, self.connection)
        if found:
            note(found)
        return bool(found)

    def _question(self, sql: str, params: Any, result_type: str) -> Hashable | None:
        """1, 1.0 and True are the same to Python, and three questions to a database."""
        values = tuple(params or ())
        asked = (str(self.connection.settings_dict["NAME"]), result_type, sql, values)
        return (*asked, tuple(map(type, values))) if _never_changes(asked) else None


def _as_kept(result: Any, result_type: str) -> tuple[tuple[Any, ...], ...]:
    """All rows in one piece, however the database handed them over."""
    if result_type == SINGLE:
        return () if result is None else (tuple(result),)
    return tuple(tuple(row) for rows in result for row in rows)


def _given(answer: tuple[tuple[Any, ...], ...], result_type: str) -> Any:
    if result_type == SINGLE:
        return answer[0] if answer else None
    return [answer] if answer else []


def _never_changes(value: Any) -> bool:
    """Whether nobody can change it who is handed it: only such a thing has a hash."""
    try:
        hash(value)
    except (TypeError, ValueError):
        return False
    return True
