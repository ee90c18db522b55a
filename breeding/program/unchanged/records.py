"""Records that nearly every page reads: built of their rows once, and copied for each request.

To make a record of a row costs more than to read the row. Whoever is handed a copy may change it,
and what it reads beside it (`animal.dam`) stays with the copy: nobody else ever sees either. Where
rows of their own table were written, or some beside them of which it is known which ones, only the
records of these are built again.
"""

from collections.abc import Callable, Collection, Hashable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple, TypeVar

from django.db import connection
from django.db.models import Model, QuerySet
from django.db.models.base import ModelState

from breeding.program.frame.memory import reading_anew, remember
from breeding.program.unchanged.come import Come, how_far, written_since
from breeding.program.unchanged.marks import CHANGED, NAME, marks_of, standing, standing_now
from breeding.program.unchanged.newest import Newest
from breeding.program.unchanged.noted import note, noting
from breeding.program.unchanged.rows import values_once
from breeding.program.unchanged.tables import daily_tables

Record = TypeVar("Record", bound=Model)
MOST = 4  # answers, each of as many records as there are animals here
MOST_ANEW = 300  # records built beside those that were there; with more all are read again


@dataclass(frozen=True)
class _Kept:
    """How records are made anew, and the marks of their tables.

    own: by the key of each that was asked for, in their order, where its pattern stands. rows: by
    its key, as the database gave it before the record was built. alone: no record of the same
    kind stands beside them. changed, came: of tables beside them of which it is known what was
    written, their marks of changes, and how far they had come.
    """

    marks: tuple[tuple[str, Any], ...]
    patterns: tuple["_Pattern", ...]
    own: Mapping[Any, int]
    rows: Mapping[Any, tuple[Any, ...]]
    alone: bool
    anew: int = 0  # so many were built again since all were read
    changed: Mapping[str, Any] = field(default_factory=dict)
    came: Come | None = None


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


def kept_records(key: Hashable, read: Callable[[], QuerySet[Record]]) -> tuple[Record, ...]:
    """The records that `read` asks for, read again once one of its tables was written to: those
    alone whose row is another, where that was their own table.

    key: what is asked for, with all it depends on. In a transaction, and in a request that may
    write, what is kept is looked at with the marks of that moment, and nothing new is kept. Only
    what the question itself brings along (`select_related`) is kept with them.
    """
    whole = (str(connection.settings_dict["NAME"]), key)
    kept = _kept.find(whole)
    now = standing(connection)
    if not now:
        held = _looked_at(kept, read, standing_now(connection)) if kept is not None else None
        return tuple(read()) if held is None else _copies(held)
    if kept is None or not _stands(kept, now):
        with noting() as tables, reading_anew():
            # Rows are asked of the database: so are the records, that none is older than its row.
            remember(NAME, {})
            held = None if kept is None else _renewed(kept, read(), now)
            if held is None:
                held = _built(read)
            remember(NAME, now)
        tables |= {table for table, _ in held.marks}
        note(frozenset(tables))
        marks = None if "" in tables else marks_of(frozenset(tables), now)
        if marks is None:
            return _copies(held)
        daily = [table for table, _ in marks if table in daily_tables()]
        changed = {table: now.get(table + CHANGED) for table in daily}
        kept = replace(held, marks=marks, changed=changed, came=how_far(daily, now))
        _kept.keep(whole, kept)
    else:
        note(frozenset(table for table, _ in kept.marks))
    return _copies(kept)


def _looked_at(
    kept: _Kept, read: Callable[[], QuerySet[Any]], now: Mapping[str, Any]
) -> _Kept | None:
    return kept if _stands(kept, now) else _renewed(kept, read(), now)


def _built(read: Callable[[], QuerySet[Any]]) -> _Kept:
    """All of them, with nothing said of marks yet."""
    asked = read()
    rows, records = _rows(asked), _leaves_once(tuple(asked))
    patterns, places = _patterns(records)
    own = {one.pk: at for one, at in zip(records, places, strict=True)}
    held = dict(zip(rows, values_once(tuple(rows.values())), strict=True))
    alone = sum(one.model is asked.model for one in patterns) == len(own)
    return _Kept((), patterns, own, held, alone)


def _renewed(kept: _Kept, asked: QuerySet[Any], now: Mapping[str, Any]) -> _Kept | None:
    """With those records built again whose rows are others, or rows beside them; None where all
    must be read.

    That is where it is not known which rows of another table were written, or one beside them is
    of their own.
    """
    written = _written_beside(kept, asked.model._meta.db_table, now) if kept.alone else None
    if written is None:
        return None
    rows, stale = _rows(asked), _stale(kept.patterns, written)
    others = [
        key
        for key, row in rows.items()
        if key not in kept.own or kept.own[key] in stale or kept.rows.get(key) != row
    ]
    if kept.anew + len(others) > MOST_ANEW:
        return None
    built = _leaves_once(tuple(asked.filter(pk__in=others))) if others else ()
    patterns, places = _patterns(built, kept.patterns, stale)
    anew = {one.pk: at for one, at in zip(built, places, strict=True)}
    gone = set(others) - anew.keys()  # since the rows were read
    there = [key for key in rows if key not in gone]
    return replace(
        kept,
        patterns=patterns,
        own={key: anew[key] if key in anew else kept.own[key] for key in there},
        rows={key: rows[key] if key in anew else kept.rows[key] for key in there},
        anew=kept.anew + len(others),
    )


def _written_beside(
    kept: _Kept, own_table: str, now: Mapping[str, Any]
) -> Mapping[str, Collection[int]] | None:
    """By the tables beside their own that were written to, the keys of rows that were changed or
    removed; None where that is not known."""
    found: dict[str, Collection[int]] = {}
    for table, mark in kept.marks:
        if table == own_table or now.get(table) == mark:
            continue
        if table not in kept.changed:
            return None
        written = written_since(table, kept.came, kept.changed[table], now)
        if written is None:
            return None
        found[table] = written.changed
    return found


def _stale(
    patterns: Iterable["_Pattern"], written: Mapping[str, Collection[int]]
) -> Collection[int]:
    """Where the patterns of these rows stand, and of whatever reads one of them beside it."""
    found: set[int] = set()
    if not any(written.values()):
        return found
    for at, one in enumerate(patterns):
        meta = one.model._meta
        is_written = one.fields[meta.pk.attname] in written.get(meta.db_table, ())
        if is_written or any(beside in found for _, beside in one.beside):
            found.add(at)
    return found


def _rows(asked: QuerySet[Any]) -> dict[Any, tuple[Any, ...]]:
    """Of the records alone, by their keys and in their order, as the database gives them."""
    fields = (one.attname for one in asked.model._meta.concrete_fields)
    sql, params = asked.values_list("pk", *fields).query.sql_with_params()
    with connection.cursor() as cursor:
        cursor.execute(sql, params)
        return {row[0]: tuple(row) for row in cursor.fetchall()}


def _stands(kept: _Kept, now: Mapping[str, Any]) -> bool:
    return marks_of(frozenset(table for table, _ in kept.marks), now) == kept.marks


def _copies(kept: _Kept) -> tuple[Any, ...]:
    made = _made(kept.patterns)
    return tuple(made[at] for at in kept.own.values())


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


def _patterns(
    records: Collection[Model], before: tuple[_Pattern, ...] = (), stale: Collection[int] = ()
) -> tuple[tuple[_Pattern, ...], tuple[int, ...]]:
    """Of these and of all beside them, each once; and where these stand.

    before: patterns that come first; of what stands beside a record and is among them already no
    other is made, but for those that are stale.
    """
    found = list(before)
    places: dict[int, int] = {}  # by the identity of a record, which its caller holds
    own_models = {type(one) for one in records}
    there = {
        (one.model, one.fields[one.model._meta.pk.attname]): at
        for at, one in enumerate(before)
        if one.model not in own_models and not one.beside and at not in stale
    }

    def place_of(one: Model) -> int:
        if (at := there.get((type(one), one.pk))) is not None:
            return at
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
