"""What follows when an animal goes, or is here again: rooms above say it to the one below."""

import datetime
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Protocol

from breeding.animals.models import Animal
from breeding.program.models import Person
from breeding.program.problems.doubts import Doubt
from breeding.words.language import sentences

Gone = tuple[Animal, datetime.date]  # one that has just gone on loan, left or died on a day
# What else ends with each of these, in their order; by the animal it says so in words.
Going = Callable[[Sequence[Gone]], Mapping[int, str]]
# What is asked before it is here again from a day on.
Returning = Callable[[Animal, datetime.date], Iterable[Doubt]]


class GoingInTurn(Protocol):
    """What is asked before one after the other goes on loan, or leaves; none is written yet."""

    def asked(self, animal: Animal, on: datetime.date) -> Iterable[Doubt]: ...

    def goes(self, animal: Animal, on: datetime.date) -> None:
        """It goes on that day; the next are asked about after it went."""


# One alone is asked about as it stands on record.
BeforeGoing = Callable[[Mapping[int, Animal]], GoingInTurn]

# What is taken back with it when one that was said to have died did not, by whom and when; it says
# so in words, or nothing.
NotDying = Callable[[Animal, Person | None, datetime.datetime], str]
# The page that asks more of one that is gone, or nothing.
Asking = Callable[[Animal], str]

_before_going: dict[str, BeforeGoing] = {}
_not_dying: dict[str, NotDying] = {}
_asking: dict[str, Asking] = {}
_going: dict[str, Going] = {}
_returning: dict[str, Returning] = {}


def add_going(name: str, going: Going) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _going[name] = going


def add_before_going(name: str, before: BeforeGoing) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _before_going[name] = before


def add_returning(name: str, returning: Returning) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _returning[name] = returning


def add_not_dying(name: str, not_dying: NotDying) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _not_dying[name] = not_dying


def add_asking(name: str, asking: Asking) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _asking[name] = asking


def take_back_death(animal: Animal, by: Person | None, now: datetime.datetime) -> str:
    """Take back what rests on its having died; what was taken back in words."""
    said = (not_dying(animal, by, now) for not_dying in _not_dying.values())
    return sentences(*said)


def asked_of_gone(animal: Animal) -> str:
    """The address of the page that asks more of it; empty for none."""
    return next(filter(None, (asking(animal) for asking in _asking.values())), "")


def end_with(gone: Sequence[Gone]) -> dict[int, str]:
    """End what rests on animals that have just gone; what was ended in words, by the animal.

    Of those with whom nothing ends it says nothing.
    """
    found: dict[int, list[str]] = {}
    for going in _going.values():
        for key, said in going(gone).items():
            found.setdefault(key, []).append(said)
    return {key: sentences(*said) for key, said in found.items()}


def asked_before_going(animal: Animal, on: datetime.date) -> list[Doubt]:
    """What every room asks before it goes on loan or leaves."""
    return GoingOfMany({animal.pk: animal}).asked(animal, on)


class GoingOfMany:
    """The same of those that go one after the other."""

    def __init__(self, animals: Mapping[int, Animal]) -> None:
        self._rooms = [before(animals) for before in _before_going.values()]

    def asked(self, animal: Animal, on: datetime.date) -> list[Doubt]:
        return [doubt for room in self._rooms for doubt in room.asked(animal, on)]

    def goes(self, animal: Animal, on: datetime.date) -> None:
        """It goes on that day; the next are asked about after it went."""
        for room in self._rooms:
            room.goes(animal, on)


def asked_before_return(animal: Animal, on: datetime.date) -> list[Doubt]:
    """What every room asks before it is here again."""
    return [doubt for returning in _returning.values() for doubt in returning(animal, on)]
