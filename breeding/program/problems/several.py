"""Acts on one row or on many: each row is judged beside those before it, then all are written.

A room writes one function that judges rows in their order and one that writes them; its act of a
single row is both with one row, so that a page and a table ask and refuse alike.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from django.core.exceptions import ValidationError
from django.db import models

from breeding.program.parts import in_parts
from breeding.program.problems.doubts import Doubt, ask

Record = TypeVar("Record", bound=models.Model)


@dataclass
class Judged(Generic[Record]):
    """One row: the record as it would be written, what is asked of it, and what forbids it.

    What is asked is asked before what forbids it is said.
    """

    record: Record
    doubts: list[Doubt] = field(default_factory=list)
    refusal: ValidationError | None = None

    @property
    def may_be(self) -> bool:
        return self.refusal is None


def judging(record: Record, judge: Callable[[Record], Iterable[Doubt]]) -> Judged[Record]:
    """What `judge` asks of a record, and the ValidationError it raises in between, if any."""
    found: list[Doubt] = []
    try:
        found.extend(judge(record))
    except ValidationError as problem:
        return Judged(record, found, problem)
    return Judged(record, found)


def judging_in_turn(
    rows: Iterable[Record],
    judge: Callable[[Record], Iterable[Doubt]],
    count: Callable[[Record], object],
) -> list[Judged[Record]]:
    """Each judged; `count` is handed those that may be, so that the rows after them meet them."""
    found = []
    for row in rows:
        judged = judging(row, judge)
        if judged.may_be:
            count(row)
        found.append(judged)
    return found


def settled(judged: Judged[Record], sure: Collection[str], reason: str = "") -> Record:
    """The record of a single row. Raises DoubtError until it is answered, and what forbids it."""
    ask(judged.doubts, sure, reason)
    if judged.refusal is not None:
        raise judged.refusal
    return judged.record


def written_of(judged: Sequence[Judged[Any]]) -> list[Any]:
    """The records that may be."""
    return [one.record for one in judged if one.may_be]


def read_of(found: "models.QuerySet[Record]", of: str, keys: Iterable[Any]) -> Iterator[Record]:
    """Those found whose column `of` holds one of these keys, None left out: few queries."""
    every = [key for key in dict.fromkeys(keys) if key is not None]
    for part in in_parts(every):
        yield from found.filter(**{f"{of}__in": part})


def named_in(found: "models.QuerySet[Any]", of: str, keys: Iterable[int]) -> set[int]:
    """Those of these keys that the column `of` holds in any row found: few queries."""
    return {
        key
        for part in in_parts(list(dict.fromkeys(keys)))
        for key in found.order_by().filter(**{f"{of}__in": part}).values_list(of, flat=True)
    }


def clean_of_its_own(record: models.Model) -> None:
    """`full_clean`, without asking the database for records that are in hand.

    Rules of the database are for `clean` to say, or for the database. Raises ValidationError.
    """
    held = record._state.fields_cache
    in_hand = {one.name for one in record._meta.concrete_fields if held.get(one.name) is not None}
    record.full_clean(exclude=in_hand, validate_constraints=False)
