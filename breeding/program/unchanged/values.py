"""What was reckoned from rows is kept while none of the tables it was read from is written to."""

import dataclasses
import datetime
from collections.abc import Callable, Hashable, Mapping
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from types import MappingProxyType
from typing import Any, TypeVar

from django.db import connection

from breeding.program.unchanged.marks import marks_of, standing
from breeding.program.unchanged.noted import note
from breeding.program.unchanged.reckoning import asked_here, in_these_words, seeing_what_is_read
from breeding.program.unchanged.rows import Shelf

Answer = TypeVar("Answer")
PLAIN = (type(None), bool, int, float, str, bytes, datetime.date, datetime.time)
PLAIN_TOO = (datetime.timedelta, Decimal, Fraction, Enum)
EACH_BYTES = 100  # about so much is a number, a day or a short text with what holds it
VALUES = Shelf()


def kept_while_unchanged(key: Hashable, make: Callable[[], Answer]) -> Answer:
    """The answer of `make`, reckoned again only once a table that it reads was written to.

    key: what it is and everything it depends on beside the rows: whose, of which day. The tables
    need not be named: they are noted while `make` reads. In a transaction, and in a request that
    may write, it is reckoned every time. The answer goes to many at once, so that it holds
    nothing that can be changed: numbers, texts, days, and frozen dataclasses of them; lists and
    mappings come back as ones that stay as they are. Raises TypeError for anything else.
    """
    now = standing(connection)
    if not now:
        return make()
    whole = asked_here(*in_these_words(key))
    kept = VALUES.look_up(whole)
    if kept is not None:
        tables = frozenset(table for table, _ in kept.marks)
        if marks_of(tables, now) == kept.marks:
            note(tables)
            answer: Answer = kept.answer
            return answer
    with seeing_what_is_read(now) as read:
        made, size = _unchanging(make())
    note(frozenset(read))
    marks = None if "" in read else marks_of(frozenset(read), now)
    if marks:
        VALUES.keep(whole, marks, made, size)
    found: Answer = made
    return found


def _unchanging(value: Any) -> tuple[Any, int]:
    """The same as something nobody can change, and about how many bytes it takes."""
    if isinstance(value, (str, bytes)):
        return value, EACH_BYTES + len(value)
    if isinstance(value, PLAIN + PLAIN_TOO):
        return value, EACH_BYTES
    if isinstance(value, Mapping):
        pairs = [(_unchanging(name), _unchanging(one)) for name, one in value.items()]
        size = sum(name[1] + one[1] for name, one in pairs)
        return MappingProxyType({name[0]: one[0] for name, one in pairs}), EACH_BYTES + size
    if isinstance(value, (list, tuple, set, frozenset)):
        return _same_kind(value, [_unchanging(one) for one in value])
    if _is_frozen(value):
        fields = [(one.name, *_unchanging(getattr(value, one.name))) for one in _fields(value)]
        changed = {name: one for name, one, _ in fields if one is not getattr(value, name)}
        size = EACH_BYTES + sum(size for *_, size in fields)
        return (dataclasses.replace(value, **changed) if changed else value), size
    raise TypeError(f"{type(value).__name__} can be changed by who reads it: it cannot be kept.")


def _same_kind(value: Any, parts: list[tuple[Any, int]]) -> tuple[Any, int]:
    held, size = [one for one, _ in parts], EACH_BYTES + sum(size for _, size in parts)
    if isinstance(value, (set, frozenset)):
        return frozenset(held), size
    if hasattr(value, "_make"):  # a named tuple
        return value._make(held), size
    same = all(one is was for one, was in zip(held, value, strict=True))
    return (value if same and isinstance(value, tuple) else tuple(held)), size


def _is_frozen(value: Any) -> bool:
    how = getattr(type(value), "__dataclass_params__", None)
    return how is not None and bool(how.frozen)


def _fields(value: Any) -> tuple["dataclasses.Field[Any]", ...]:
    return dataclasses.fields(value)
