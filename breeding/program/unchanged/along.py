"""What a request has read already and a question that is kept may use without asking again."""

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from breeding.program.frame.memory import forget, known, remember, remembered_while_reading
from breeding.program.unchanged.noted import note, noting

Answer = TypeVar("Answer")
_tables: dict[str, str | None] = {}


def take_along(name: str, table: str | None) -> None:
    """What is remembered under this name is read from this one table, after the marks.

    None: no answer rests on it, or whoever is answered from it is told so then (`rests_on`).
    """
    _tables[name] = table


def read_along(name: str, read: Callable[[], Answer]) -> Answer:
    """What `read` answers, remembered under a name that is taken along, with the tables it rests
    on: whatever is reckoned from it rests on these too.
    """

    def with_tables() -> tuple[Answer, frozenset[str]]:
        with noting() as tables:
            answer = read()
        return answer, frozenset(tables)

    answer, tables = remembered_while_reading(name, with_tables)
    note(tables)
    return answer


def taken_along() -> Mapping[str, Any]:
    """As far as this request has read them."""
    return {name: found for name in _tables if (found := known(name)) is not None}


def forget_taken_along() -> None:
    """The marks are read anew: what was read before them is older than they are."""
    for name in _tables:
        forget(name)


def bring(along: Mapping[str, Any]) -> None:
    """Into a memory of its own; whatever is reckoned there rests on their tables too."""
    for name, answer in along.items():
        remember(name, answer)
        if table := _tables[name]:
            note(frozenset({table}))
