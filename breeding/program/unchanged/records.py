"""Records that nearly every page reads: built of their rows once, and copied for each request.

To make a record of a row costs more than to read the row. Whoever is handed a copy may change it,
and what it reads beside it (`animal.dam`) stays with the copy: nobody else ever sees either.
"""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from django.db import connection
from django.db.models import Model
from django.db.models.base import ModelState

from breeding.program.frame.memory import reading_anew, remember
from breeding.program.unchanged.marks import NAME, marks_of, note, noting, standing

Record = TypeVar("Record", bound=Model)
MOST = 4  # answers, each of as many records as there are animals here


@dataclass(frozen=True)
class _Kept:
    """Records as they were built, which are never handed out, and the marks of their tables."""

    marks: tuple[tuple[str, Any], ...]
    records: tuple[Any, ...]


_kept: "OrderedDict[Hashable, _Kept]" = OrderedDict()


def kept_records(key: Hashable, read: Callable[[], Iterable[Record]]) -> tuple[Record, ...]:
    """The records that `read` asks for, read again once one of its tables was written to.

    key: what is asked for, with all it depends on. In a transaction, and in a request that may
    write, they are read every time. Only what the question itself brings along (`select_related`)
    is kept with them.
    """
    now = standing(connection)
    if not now:
        return tuple(read())
    whole = (str(connection.settings_dict["NAME"]), key)
    kept = _kept.get(whole)
    if kept is None or marks_of(frozenset(table for table, _ in kept.marks), now) != kept.marks:
        with noting() as tables, reading_anew():
            remember(NAME, now)
            records = tuple(read())
        note(frozenset(tables))
        marks = None if "" in tables else marks_of(frozenset(tables), now)
        if marks is None:
            return records
        kept = _Kept(marks, _leaves_once(records))
        _kept[whole] = kept
    else:
        note(frozenset(table for table, _ in kept.marks))
    _kept.move_to_end(whole)
    while len(_kept) > MOST:
        _kept.popitem(last=False)
    copies: dict[int, Model] = {}
    return tuple(_copy(one, copies) for one in kept.records)


def _leaves_once(records: tuple[Record, ...]) -> tuple[Record, ...]:
    """The same, with one record in place of many equal ones: a tank for all who are in it."""
    once: dict[Hashable, Any] = {}
    for one in records:
        beside = _beside(one)
        for name, other in beside.items():
            if isinstance(other, Model) and not _beside(other):
                one._state.fields_cache[name] = once.setdefault((type(other), other.pk), other)
    return records


def _beside(one: Model) -> Mapping[str, Any]:
    found: Mapping[str, Any] = vars(one._state).get("fields_cache", {})
    return found


def _copy(one: Record, copies: dict[int, Model]) -> Record:
    """copies: those made already, by the identity of what they are of."""
    held: Any = copies.get(id(one))
    if held is not None:
        copy: Record = held
        return copy
    copy = type(one).__new__(type(one))
    copies[id(one)] = copy
    state = ModelState()
    state.db, state.adding = one._state.db, False
    if beside := _beside(one):
        state.fields_cache = {
            name: _copy(other, copies) if isinstance(other, Model) else other
            for name, other in beside.items()
        }
    vars(copy).update(vars(one))
    copy._state = state
    return copy


def forget_records() -> None:
    """As in a process that was started just now."""
    _kept.clear()
