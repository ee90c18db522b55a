"""Records that nearly every page reads: built of their rows once, and copied for each request.

To make a record of a row costs more than to read the row. Whoever is handed a copy may change it,
and what it reads beside it (`animal.dam`) stays with the copy: nobody else ever sees either.
"""

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple, TypeVar

from django.db import connection
from django.db.models import Model
from django.db.models.base import ModelState

from breeding.program.frame.memory import reading_anew, remember
from breeding.program.unchanged.marks import NAME, marks_of, standing, standing_now
from breeding.program.unchanged.newest import Newest
from breeding.program.unchanged.noted import note, noting

Record = TypeVar("Record", bound=Model)
MOST = 4  # answers, each of as many records as there are animals here


@dataclass(frozen=True)
class _Kept:
    """How records are made anew, and the marks of their tables."""

    marks: tuple[tuple[str, Any], ...]
    patterns: tuple["_Pattern", ...]
    own: tuple[int, ...]  # where among the patterns those stand that were asked for


class _Pattern(NamedTuple):
    """A record as it was built, and what it reads beside it: names, and where their patterns stand.

    Whatever stands beside a record has its pattern before it.
    """

    model: type[Model]
    fields: Mapping[str, Any]
    database: str | None
    plain: Mapping[str, Any]  # beside it, but no records
    beside: tuple[tuple[str, int], ...]


_kept: Newest[_Kept] = Newest(MOST)


def kept_records(key: Hashable, read: Callable[[], Iterable[Record]]) -> tuple[Record, ...]:
    """The records that `read` asks for, read again once one of its tables was written to.

    key: what is asked for, with all it depends on. In a transaction, and in a request that may
    write, what is kept is looked at with the marks of that moment, and nothing new is kept. Only
    what the question itself brings along (`select_related`) is kept with them.
    """
    whole = (str(connection.settings_dict["NAME"]), key)
    kept = _kept.find(whole)
    now = standing(connection)
    if not now:
        if kept is not None and _stands(kept, standing_now(connection)):
            return _copies(kept)
        return tuple(read())
    if kept is None or not _stands(kept, now):
        with noting() as tables, reading_anew():
            remember(NAME, now)
            records = tuple(read())
        note(frozenset(tables))
        marks = None if "" in tables else marks_of(frozenset(tables), now)
        if marks is None:
            return records
        kept = _Kept(marks, *_patterns(_leaves_once(records)))
        _kept.keep(whole, kept)
    else:
        note(frozenset(table for table, _ in kept.marks))
    return _copies(kept)


def _stands(kept: _Kept, now: Mapping[str, Any]) -> bool:
    return marks_of(frozenset(table for table, _ in kept.marks), now) == kept.marks


def _copies(kept: _Kept) -> tuple[Any, ...]:
    made = _made(kept.patterns)
    return tuple(made[at] for at in kept.own)


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


def _patterns(records: Iterable[Model]) -> tuple[tuple[_Pattern, ...], tuple[int, ...]]:
    """Of these and of all beside them, each once; and where these stand."""
    found: list[_Pattern] = []
    places: dict[int, int] = {}  # by the identity of a record, which its caller holds

    def place_of(one: Model) -> int:
        if id(one) not in places:
            of_all = _beside(one)
            records = {name: other for name, other in of_all.items() if isinstance(other, Model)}
            beside = tuple((name, place_of(other)) for name, other in records.items())
            plain = {name: other for name, other in of_all.items() if name not in records}
            fields = {name: value for name, value in vars(one).items() if name != "_state"}
            places[id(one)] = len(found)
            found.append(_Pattern(type(one), fields, one._state.db, plain, beside))
        return places[id(one)]

    own = tuple(place_of(one) for one in records)
    return tuple(found), own


def _made(patterns: Iterable[_Pattern]) -> list[Any]:
    """A record of each, in their order."""
    made: list[Any] = []
    for model, fields, database, plain, beside in patterns:
        one = model.__new__(model)
        state = ModelState()
        state.db, state.adding = database, False
        if beside or plain:
            state.fields_cache = {**plain, **{name: made[at] for name, at in beside}}
        vars(one).update(fields, _state=state)
        made.append(one)
    return made


def forget_records() -> None:
    """As in a process that was started just now."""
    _kept.empty()
