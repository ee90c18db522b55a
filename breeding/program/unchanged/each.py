"""Answers about each of many, kept by themselves: a row that is added, changed or removed renews
those that it is about.
"""

from collections.abc import Callable, Collection, Hashable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

from django.db import connection
from django.db.models import Model

from breeding.program.unchanged.come import Come, Written, how_far, written_since
from breeding.program.unchanged.marks import CHANGED, are_still, standing, standing_now
from breeding.program.unchanged.newest import Newest
from breeding.program.unchanged.noted import note
from breeding.program.unchanged.reckoning import asked_here, in_these_words, seeing_what_is_read

Answer = TypeVar("Answer")
About = Callable[[Written], Collection[int] | None]  # whom the rows written since are about
MOST = 16  # questions: the same of a few days, or in a few languages
MOST_OF_ONE = 4_000  # answers to each
MOST_TOGETHER = 16_000


@dataclass(frozen=True)
class Part:
    """What of a table the answers rest on. about: whom the difference of two of it is about, None
    for everybody. It may be long to read: an act, which has changed it itself, does not ask. Where
    rows of the same table are told as well, they and the difference are about some each.
    """

    read: Callable[[], Any]
    about: Callable[[Any, Any], Collection[int] | None]


@dataclass(frozen=True)
class _Kept:
    """Answers by key, the marks of their tables, how far the growing ones had come, and the parts
    that the answers rest on, each read before any of them; what each rests on beside.
    """

    answers: Mapping[int, Any]
    marks: Mapping[str, Any]
    changed: Mapping[str, Any]
    came: Come | None  # None: the marks do not say it
    parts: Mapping[str, Any]
    beside: Mapping[int, Any] = field(default_factory=dict)


_kept: Newest[_Kept] = Newest(MOST)


def kept_of_each(
    question: Hashable,
    asked: Collection[int],
    make: Callable[[Collection[int]], Mapping[int, Answer]],
    growing: Mapping[type[Model], About],
    parts: Mapping[type[Model], Part] | None = None,
    beside: Mapping[int, Any] | None = None,
) -> dict[int, Answer]:
    """What `make` answers for these keys, reckoned again only for those of whom it is another.

    question: what is asked and all that it depends on beside the rows. growing: tables to which
    rows are added every day, and whom those written since are about; None for everybody. parts:
    of tables that are changed every day what the answers rest on. beside: for every key what its
    answer rests on that `make` has at hand and does not read; where that is another, by `==`, it is
    reckoned again. Any write to another table that `make` reads is about everybody. The answers go
    to many at once: nobody may change them. In a transaction, and in a request that may write, what
    is kept is looked at with the marks of that moment, and nothing new is kept. Where rows are not
    added daily to a growing table (`grows_daily` of its model), each that is written is about
    everybody.
    """
    whole, tables = asked_here(*in_these_words(question)), _by_table(growing)
    of_parts = {model._meta.db_table: part for model, part in (parts or {}).items()}
    kept = _kept.find(whole)
    now = standing(connection)
    if not now:
        return _beside_what_stands(kept, asked, make, tables, of_parts, beside)
    before = kept
    if kept is None:
        kept = _nothing(now, tables, of_parts)
    else:
        kept = _still_right(kept, now, tables, of_parts)
    anew = [
        table
        for table, part in kept.parts.items()
        if before is None or part is not before.parts[table]
    ]
    if beside is not None:
        kept = _where_the_same(kept, beside)
    missing = [key for key in asked if key not in kept.answers]
    if missing:
        kept = _with_more(kept, missing, make, now, tables)
    note(frozenset(kept.marks))
    found: dict[int, Answer] = {key: kept.answers[key] for key in asked if key in kept.answers}
    if len(kept.answers) > MOST_OF_ONE:
        kept = replace(kept, answers=found)
    # Parts that were read after a write would hide it from answers of rows read before it.
    if anew and missing and not are_still(anew, now):
        return found
    if kept.marks and "" not in kept.marks and len(found) <= MOST_OF_ONE:
        _kept.keep(whole, kept)
        _drop_the_oldest()
    return found


def held_of_each(
    question: Hashable, asked: Collection[int], growing: Mapping[type[Model], About]
) -> dict[int, Any]:
    """Of the answers of `kept_of_each` to this question those that are kept and hold at this
    moment, by key; none is made, and nothing is kept. For who asks less of an answer than it says:
    growing may tell of fewer that are others.
    """
    kept = _kept.find(asked_here(*in_these_words(question)))
    now = standing_now(connection) if kept is not None else {}
    if kept is None or not now or kept.parts:
        return {}
    answers = _still_right(kept, now, _by_table(growing), {}).answers
    return {key: answers[key] for key in asked if key in answers}


def _by_table(growing: Mapping[type[Model], About]) -> dict[str, About]:
    return {model._meta.db_table: about for model, about in growing.items()}


def _beside_what_stands(
    kept: _Kept | None,
    asked: Collection[int],
    make: Callable[[Collection[int]], Mapping[int, Answer]],
    growing: Mapping[str, About],
    of_parts: Collection[str],
    beside: Mapping[int, Any] | None,
) -> dict[int, Answer]:
    """Of those kept the ones that are right at this moment; the others are made, and not kept."""
    found: dict[int, Answer] = {}
    now = standing_now(connection) if kept is not None else {}
    if kept is not None and now and not _written(kept, now) & set(of_parts):
        kept = _still_right(kept, now, growing, {})
        kept = kept if beside is None else _where_the_same(kept, beside)
        found = {key: kept.answers[key] for key in asked if key in kept.answers}
    missing = [key for key in asked if key not in found]
    return {**found, **make(missing)} if missing else found


def _drop_the_oldest() -> None:
    """So that no more than MOST_TOGETHER answers are kept, unless to one question."""
    every = _kept.every()
    held = sum(len(one.answers) for _, one in every)
    for question, one in every[:-1]:
        if held <= MOST_TOGETHER:
            return
        _kept.drop(question)
        held -= len(one.answers)


def _nothing(
    now: Mapping[str, Any], growing: Mapping[str, About], parts: Mapping[str, Part]
) -> _Kept:
    changed = {table: now.get(table + CHANGED) for table in growing}
    held = {table: part.read() for table, part in parts.items()}
    return _Kept({}, {}, changed, how_far(growing, now), held)


def _still_right(
    kept: _Kept,
    now: Mapping[str, Any],
    growing: Mapping[str, About],
    parts: Mapping[str, Part],
) -> _Kept:
    """Without the answers that may be others by now."""
    written = _written(kept, now)
    if not written:
        return kept
    renewed: set[int] = set()
    held = dict(kept.parts)
    for table in written:
        told: list[Collection[int] | None] = []
        if table in parts:
            held[table] = parts[table].read()
            told.append(parts[table].about(kept.parts[table], held[table]))
        if table in growing:
            rows = written_since(table, kept.came, kept.changed[table], now)
            told.append(None if rows is None else growing[table](rows))
        about = [keys for keys in told if keys is not None]
        if not about or len(about) < len(told):
            return _nothing(now, growing, parts)
        renewed.update(*about)
    answers = {key: one for key, one in kept.answers.items() if key not in renewed}
    marks = {table: now[table] for table in kept.marks}
    changed = {table: now.get(table + CHANGED) for table in growing}
    return _Kept(answers, marks, changed, how_far(growing, now), held, kept.beside)


def _written(kept: _Kept, now: Mapping[str, Any]) -> set[str]:
    """The tables that have other marks by now."""
    return {table for table, mark in kept.marks.items() if now.get(table) != mark}


def _where_the_same(kept: _Kept, beside: Mapping[int, Any]) -> _Kept:
    """Without the answers of which something else is said beside."""
    same = (key for key in kept.answers if key in beside and kept.beside[key] == beside[key])
    return replace(kept, answers={key: kept.answers[key] for key in same}, beside=beside)


def _with_more(
    kept: _Kept,
    missing: Collection[int],
    make: Callable[[Collection[int]], Mapping[int, Any]],
    now: Mapping[str, Any],
    growing: Mapping[str, About],
) -> _Kept:
    with seeing_what_is_read(now) as read:
        made = make(missing)
    marks = {table: now.get(table) for table in (*read, *growing)}
    if None in marks.values() or None in kept.changed.values():
        marks[""] = None  # of a table without a mark nothing is known the next time
    answers = {**kept.answers, **made}
    return replace(kept, answers=answers, marks={**kept.marks, **marks})


def forget_each() -> None:
    """As in a process that was started just now."""
    _kept.empty()
