"""What rests on days long past is kept although rows are added to its tables, as on every day."""

import operator
from collections.abc import Callable, Collection, Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from django.db import connection
from django.db.models import Model

from breeding.program.unchanged.come import Come, Written, how_far, written_since
from breeding.program.unchanged.marks import CHANGED, are_still, standing, standing_now
from breeding.program.unchanged.newest import Newest
from breeding.program.unchanged.noted import note
from breeding.program.unchanged.reckoning import asked_here, in_these_words, seeing_what_is_read

Answer = TypeVar("Answer")
MOST = 32
MOST_ALIKE = 4  # of answers to one question asked in many ways, each of which may be large
Matters = Callable[[Written], bool]  # whether one of the rows written since changes the answer
ReadPart = Callable[[], Hashable]  # what of a table the answer rests on


class OneAndTheSame:
    """Things that are kept, as a part that an answer rests on: another one stands for it all, also
    where it is equal (`each.py` hands out the same ones until they may be others).
    """

    def __init__(self, things: Iterable[Any]) -> None:
        self._things = tuple(things)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, OneAndTheSame) or len(self._things) != len(other._things):
            return False
        return all(map(operator.is_, self._things, other._things))

    def __hash__(self) -> int:
        return hash(tuple(map(id, self._things)))


@dataclass
class _Kept:
    """An answer, the marks of its tables, and how far the growing ones had come before it."""

    answer: Any
    marks: dict[str, Any]
    changed: Mapping[str, Any]
    came: Come | None  # None: the marks do not say it
    parts: Mapping[str, Hashable]  # what of other tables it rests on
    alike: str = ""


@dataclass(frozen=True)
class _Found:
    """An answer, and whether it was kept before."""

    answer: Any
    was_kept: bool = False


@dataclass(frozen=True)
class Beside(Generic[Answer]):
    """Rows that were kept, those written since as they are now, and the keys of kept ones that were
    changed or removed.
    """

    kept: tuple[Answer, ...]
    since: tuple[Answer, ...] = ()
    changed: Collection[int] = frozenset()


_kept: Newest[_Kept] = Newest(MOST)


def kept_from_page_to_page(
    key: Hashable,
    make: Callable[[], Answer],
    growing: Mapping[type[Model], Matters] | None = None,
    parts: Mapping[type[Model], ReadPart] | None = None,
    *,
    alike: str = "",
) -> Answer:
    """The same of an answer with words in it; without `growing` and `parts`, until any of its
    tables is written to.
    """
    return kept_while_growing(in_these_words(key), make, growing or {}, parts, alike=alike)


def kept_while_growing(
    key: Hashable,
    make: Callable[[], Answer],
    growing: Mapping[type[Model], Matters],
    parts: Mapping[type[Model], ReadPart] | None = None,
    *,
    alike: str = "",
) -> Answer:
    """The answer of `make`, reckoned again once what it rests on is another.

    That is: a table that it reads was written to; one of `growing` only where a row that was
    added, changed or removed matters, and one of `parts` only where the part of it that the answer
    rests on is another. key: what it is. alike: of answers with the same word here
    only the newest MOST_ALIKE are kept. The answer goes to many at once: nobody may change it. In
    a transaction, and in a request that may write, what is kept is looked at with the marks of
    that moment, and nothing new is kept. Rows may be added daily to the growing tables
    (`grows_daily` of their models); else every row that is written has it reckoned again.
    """
    answer: Answer = _found(key, make, growing, parts or {}, alike=alike).answer
    return answer


def _found(
    key: Hashable,
    make: Callable[[], Any],
    growing: Mapping[type[Model], Matters],
    parts: Mapping[type[Model], ReadPart],
    *,
    alike: str = "",
    moves_on: bool = True,
) -> _Found:
    """moves_on: what was written and does not matter need not be looked at a second time."""
    tables = {model._meta.db_table: matters for model, matters in growing.items()}
    asked = {model._meta.db_table: part for model, part in parts.items()}
    whole = asked_here(key)
    kept = _kept.find(whole)
    now = standing(connection)
    marks_now = now or (standing_now(connection) if kept is not None else {})
    looked = _still_holds(kept, marks_now, tables, asked) if kept and marks_now else None
    if kept is not None and looked is not None:
        if moves_on and not connection.in_atomic_block:
            kept.marks = kept.marks | looked
        note(frozenset(kept.marks))
        return _Found(kept.answer, was_kept=True)
    if not now:
        return _Found(make())
    rests_on = {table: part() for table, part in asked.items()}
    with seeing_what_is_read(now) as read:
        answer = make()
    note(frozenset(read))
    marks = {table: now.get(table) for table in read}
    changed = {table: now.get(table + CHANGED) for table in tables}
    is_told = "" not in read and None not in (*marks.values(), *changed.values())
    # Parts that were read after a write would hide it from an answer of rows read before it. Things
    # of `each.py` do not: those of after a write are not kept, and are others in the next request.
    anew = [table for table, part in rests_on.items() if not isinstance(part, OneAndTheSame)]
    if is_told and (not anew or are_still(anew, now)):
        _kept.keep(whole, _Kept(answer, marks, changed, how_far(tables, now), rests_on, alike))
        if alike:
            same = [one for one, kept in _kept.every() if kept.alike == alike]
            for one in same[:-MOST_ALIKE]:
                _kept.drop(one)
    return _Found(answer)


def kept_beside_written(
    key: Hashable,
    model: type[Model],
    read: Callable[[Written | None], tuple[Answer, ...]],
    most: int,
) -> Beside[Answer]:
    """What `read(None)` answered, kept while rows of the model are written, and `read` of these.

    read: asked for the rows that were written, as they are now, each of which holds its key; what
    was written while the first were read may stand in both. With more than `most` that were written
    all are read again. Otherwise as `kept_while_growing`.
    """
    seen: list[tuple[tuple[Answer, ...], Collection[int]]] = []

    def are_others(written: Written) -> bool:
        if len(written.changed) > most:
            return True
        seen.append((read(written), written.changed))
        return len(seen[-1][0]) > most

    found = _found(key, lambda: read(None), {model: are_others}, {}, moves_on=False)
    return Beside(found.answer, *seen[-1]) if seen and found.was_kept else Beside(found.answer)


def _still_holds(
    kept: _Kept,
    now: Mapping[str, Any],
    growing: Mapping[str, Matters],
    parts: Mapping[str, ReadPart],
) -> dict[str, Any] | None:
    """The marks of what was written and does not matter; None where something does."""
    looked: dict[str, Any] = {}
    for table, mark in kept.marks.items():
        if now.get(table) == mark:
            continue
        if table in parts:
            if parts[table]() != kept.parts[table]:
                return None
            looked[table] = now[table]
            continue
        written = _written(kept, table, now) if table in growing else None
        if written is None or growing[table](written):
            return None
        looked[table] = now[table]
    return looked


def _written(kept: _Kept, table: str, now: Mapping[str, Any]) -> Written | None:
    return written_since(table, kept.came, kept.changed[table], now)


def forget_kept() -> None:
    """As in a process that was started just now."""
    _kept.empty()
