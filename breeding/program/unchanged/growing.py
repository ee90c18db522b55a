"""What rests on days long past is kept although rows are added to its tables, as on every day."""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from django.db import connection
from django.db.models import Model
from django.utils import timezone
from django.utils.translation import get_language

from breeding.program.frame.memory import reading_anew, remember, remembered_while_reading
from breeding.program.unchanged.along import bring, take_along, taken_along
from breeding.program.unchanged.marks import (
    CHANGED,
    COME,
    NAME,
    TABLE,
    note,
    noting,
    standing,
    standing_now,
)
from breeding.words.clock import hours_of_clock

Answer = TypeVar("Answer")
MOST = 32
MOST_ALIKE = 4  # of answers to one question asked in many ways, each of which may be large
ASKED = "come"  # how far tables had come, as this request has asked
take_along(ASKED, None)
Matters = Callable[[int], bool]  # whether one of the rows after this key changes the answer
Part = Callable[[], Hashable]  # what of a table the answer rests on


@dataclass
class _Kept:
    """An answer, the marks of its tables, and how far the growing ones had come before it."""

    answer: Any
    marks: dict[str, Any]
    changed: Mapping[str, Any]
    came: Mapping[str, tuple[int, int]] | None
    # The last key of each, and how many rows there were; None: not asked yet.
    parts: Mapping[str, Hashable]  # what of other tables it rests on
    found_by: Mapping[str, Any]  # the marks of the request that reckoned it
    alike: str = ""


_kept: "OrderedDict[Hashable, _Kept]" = OrderedDict()
_met: "OrderedDict[Hashable, bool]" = OrderedDict()  # what was reckoned before in this process


def kept_from_page_to_page(
    key: Hashable,
    make: Callable[[], Answer],
    growing: Mapping[type[Model], Matters] | None = None,
    *,
    alike: str = "",
) -> Answer:
    """The same of an answer with words in it; without `growing`, until any of its tables is
    written to.
    """
    whole = (get_language(), hours_of_clock(), key)
    return kept_while_growing(whole, make, growing or {}, alike=alike)


def kept_while_growing(
    key: Hashable,
    make: Callable[[], Answer],
    growing: Mapping[type[Model], Matters],
    parts: Mapping[type[Model], Part] | None = None,
    *,
    alike: str = "",
) -> Answer:
    """The answer of `make`, reckoned again once what it rests on is another.

    That is: a table that it reads was written to; one of `growing` only where a row of it was
    changed or removed, or one that was added matters, and one of `parts` only where the part of it
    that the answer rests on is another. key: what it is. alike: of answers with the same word here
    only the newest MOST_ALIKE are kept. The answer goes to many at once: nobody may change it. In
    a transaction, and in a request that may write, what is kept is looked at with the marks of
    that moment, and nothing new is kept. Where the marks do not say how far the growing tables had
    come, it is not asked the first time in a process, but as soon as the answer is used again.
    """
    tables = {model._meta.db_table: matters for model, matters in growing.items()}
    asked = {model._meta.db_table: part for model, part in (parts or {}).items()}
    whole = _whole(key)
    kept = _kept.get(whole)
    now = standing(connection)
    marks_now = now or (standing_now(connection) if kept is not None else {})
    if kept is not None and marks_now and _still_holds(kept, marks_now, tables, asked):
        if kept.came is None and now and kept.found_by is not now:
            kept.came = how_far_at(tables, kept.marks)
        note(frozenset(kept.marks))
        held: Answer = kept.answer
        return held
    if not now:
        return make()
    came = how_far(tables, now) if whole in _met else told_how_far(tables, now)
    _remember(_met, whole, True)
    rests_on = {table: part() for table, part in asked.items()}
    along = taken_along()
    with noting() as read, reading_anew():
        remember(NAME, now)
        bring(along)
        answer = make()
    note(frozenset(read))
    marks = {table: now.get(table) for table in read}
    changed = {table: now.get(table + CHANGED) for table in tables}
    if "" not in read and None not in (*marks.values(), *changed.values()):
        _remember(_kept, whole, _Kept(answer, marks, changed, came, rests_on, now, alike))
        if alike:
            same = [one for one, kept in list(_kept.items()) if kept.alike == alike]
            for one in same[:-MOST_ALIKE]:
                _kept.pop(one, None)
    return answer


def kept_beside_added(
    key: Hashable, model: type[Model], read: Callable[[int], tuple[Answer, ...]], most: int
) -> tuple[tuple[Answer, ...], tuple[Answer, ...]]:
    """What `read(0)` answered, kept while rows of the model are added, and `read` of these.

    read: asked for rows with a key after the one it is given, each of which holds its key; what
    was written while the first were read may stand in both. With more than `most` that were added
    all are read again. Otherwise as `kept_while_growing`.
    """
    added: dict[int, tuple[Answer, ...]] = {}

    def after(last: int) -> tuple[Answer, ...]:
        if last not in added:
            added[last] = read(last)
        return added[last]

    answer = kept_while_growing(key, lambda: read(0), {model: lambda last: len(after(last)) > most})
    kept = _kept.get(_whole(key))
    if kept is None or kept.answer is not answer or kept.came is None:
        return answer, ()  # it was read just now, or nothing was written since
    return answer, after(kept.came[model._meta.db_table][0])


def _whole(key: Hashable) -> Hashable:
    return (str(connection.settings_dict["NAME"]), timezone.get_current_timezone_name(), key)


def _remember(store: "OrderedDict[Hashable, Any]", key: Hashable, value: Any) -> None:
    store[key] = value
    while len(store) > MOST:
        store.popitem(last=False)


def _still_holds(
    kept: _Kept,
    now: Mapping[str, Any],
    growing: Mapping[str, Matters],
    parts: Mapping[str, Part],
) -> bool:
    looked: dict[str, Any] = {}
    for table, mark in kept.marks.items():
        if now.get(table) == mark:
            continue
        if table in parts:
            if parts[table]() != kept.parts[table]:
                return False
            looked[table] = now[table]
            continue
        if table not in growing or now.get(table + CHANGED) != kept.changed[table]:
            return False
        if (
            kept.came is None
            or came_late(table, kept.came[table])
            or growing[table](kept.came[table][0])
        ):
            return False
        looked[table] = now[table]
    if not connection.in_atomic_block:
        kept.marks = kept.marks | looked
    return True


def told_how_far(
    tables: Iterable[str], marks: Mapping[str, Any]
) -> dict[str, tuple[int, int]] | None:
    """How far tables had come when these marks were read; None where the marks do not say it.

    Where they do, keys are handed out in the order of writing: nothing need be counted.
    """
    keys = {table: marks.get(table + COME) for table in tables}
    found = {table: (int(key), 0) for table, key in keys.items() if key is not None}
    return found if len(found) == len(keys) else None


def how_far(tables: Iterable[str], marks: Mapping[str, Any]) -> dict[str, tuple[int, int]]:
    """As the marks say it; else at most one query for the same tables in a request that only
    reads: what was added since it was asked counts as new the next time.
    """
    told = told_how_far(tables, marks)
    if told is not None:
        return told
    names, held = sorted(tables), _asked_before()
    key = f"how far:{','.join(names)}"
    if key not in held:
        held[key] = {table: came for table, (came, _) in _asked_how_far(names).items()}
    found: dict[str, tuple[int, int]] = held[key]
    return found


def _asked_before() -> dict[str, Any]:
    """In this request, also where something is read anew within it."""
    return remembered_while_reading(ASKED, dict)


def how_far_at(
    tables: Iterable[str], marks: Mapping[str, Any]
) -> Mapping[str, tuple[int, int]] | None:
    """The same as of these marks, of the tables that they are about; None where one of them was
    written to meanwhile."""
    found = _asked_how_far(table for table in tables if table in marks)
    if any(mark != marks[table] for table, (_, mark) in found.items()):
        return None
    return {table: came for table, (came, _) in found.items()}


def _asked_how_far(tables: Iterable[str]) -> dict[str, tuple[tuple[int, int], int | None]]:
    """The last key and the number of rows of each, with its mark of the same moment."""
    names = sorted(tables)
    if not names:
        return {}
    count = "0" if connection.vendor == "sqlite" else "COUNT(*)"
    each = [
        f'(SELECT MAX(id) FROM "{one}"), (SELECT {count} FROM "{one}"), '  # noqa: S608
        f"(SELECT SUM(mark) FROM {TABLE} WHERE name = '{one}')"
        for one in names
    ]
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {', '.join(each)}")
        found = cursor.fetchone()
    rows = zip(found[::3], found[1::3], found[2::3], strict=True)
    return {
        one: ((int(key or 0), int(number or 0)), mark)
        for one, (key, number, mark) in zip(names, rows, strict=True)
    }


def came_late(table: str, came: tuple[int, int]) -> bool:
    """Whether a row took its key before, and was written only after: never on SQLite."""
    if connection.vendor == "sqlite" or came == (0, 0):
        return False

    held, key = _asked_before(), f"up to:{table}:{came[0]}"
    if key not in held:
        with connection.cursor() as cursor:
            cursor.execute(f'SELECT COUNT(*) FROM "{table}" WHERE id <= %s', [came[0]])  # noqa: S608
            held[key] = cursor.fetchone()[0]
    return bool(held[key] != came[1])


def forget_kept() -> None:
    """As in a process that was started just now."""
    _kept.clear()
    _met.clear()
