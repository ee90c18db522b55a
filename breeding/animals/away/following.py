"""What follows when an animal goes, or is here again: rooms above say it to the one below."""

import datetime
from collections.abc import Callable, Iterable

from breeding.animals.models import Animal
from breeding.program.problems.doubts import Doubt

# What else ends when it goes on loan, leaves or dies on a day; it says so in words, or nothing.
Going = Callable[[Animal, datetime.date], str]
# What is asked before it is here again from a day on.
Returning = Callable[[Animal, datetime.date], Iterable[Doubt]]

# What is asked before it goes on loan, or leaves, on a day.
BeforeGoing = Callable[[Animal, datetime.date], Iterable[Doubt]]

_before_going: dict[str, BeforeGoing] = {}
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


def end_with(animal: Animal, on: datetime.date) -> str:
    """End what rests on an animal that has just gone; what was ended in words."""
    return " ".join(filter(None, (going(animal, on) for going in _going.values())))


def asked_before_going(animal: Animal, on: datetime.date) -> list[Doubt]:
    """What every room asks before it goes on loan or leaves."""
    return [doubt for before in _before_going.values() for doubt in before(animal, on)]


def asked_before_return(animal: Animal, on: datetime.date) -> list[Doubt]:
    """What every room asks before it is here again."""
    return [doubt for returning in _returning.values() for doubt in returning(animal, on)]
