"""What can be found: each room says it of its records, and the room of finding asks for all."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from typing import Literal

from django.db import models

from breeding.program.models import Withdrawable

Readers = Literal["all", "buyers", "keepers"]
# What is said beside a record that was found, by the record's key: where an animal lives.
Beside = Callable[[Collection[int]], Mapping[int, str]]


@dataclass(frozen=True)
class Found:
    """One kind of record that can be found: by which of its columns, by whom, and how it is said.

    names: what it is called (codes, names, numbers); texts: what was written about it. Only rows
    that fulfil `where`, a condition in SQL, are found as this kind. template: how it is said in a
    list; without one it is said as on the page that withdraws it.
    """

    kind: str
    model: type[models.Model]
    group: str  # under which heading: animals, tanks, litters, people, things or notes
    names: tuple[str, ...] = ()
    texts: tuple[str, ...] = ()
    codes: tuple[str, ...] = ()  # of the names those that mean one record and no other
    readers: Readers = "all"
    where: str = ""
    where_columns: tuple[str, ...] = ()
    related: tuple[str, ...] = ()  # rows that the template needs
    template: str = ""

    @property
    def is_withdrawable(self) -> bool:
        return issubclass(self.model, Withdrawable)

    @property
    def columns(self) -> tuple[str, ...]:
        """The names of the model's fields that are looked at."""
        return (*self.names, *self.texts)


_found: dict[str, Found] = {}
_beside: dict[str, list[Beside]] = {}


def add_found(*kinds: Found) -> None:
    """Called once by each room, in its AppConfig.ready."""
    _found.update({one.kind: one for one in kinds})


def add_beside(kind: str, words: Beside) -> None:
    """Called once by a room above, in its AppConfig.ready: what it says beside what was found."""
    _beside.setdefault(kind, []).append(words)


def all_found() -> tuple[Found, ...]:
    """Every kind that a room has added, by its key."""
    return tuple(sorted(_found.values(), key=lambda one: one.kind))


def found_named(kind: str) -> Found | None:
    """The kind of this key; None when no room has added it."""
    return _found.get(kind)


def said_beside(kind: str, keys: Collection[int]) -> dict[int, list[str]]:
    """What rooms above say beside these records, by their keys."""
    said: dict[int, list[str]] = {}
    for words_of in _beside.get(kind, ()):
        for key, words in words_of(keys).items():
            said.setdefault(key, []).append(words)
    return said
