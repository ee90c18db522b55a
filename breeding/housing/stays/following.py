"""What follows when animals come into one water: rooms above say it, and no tank asks upwards."""

import datetime
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.everywhere import Everywhere
from breeding.program.models import Person
from breeding.program.problems.doubts import Doubt, ask
from breeding.words.language import sentences


@dataclass(frozen=True)
class Meeting:
    """Animals that come into the water of others on a day, and in which tank.

    Those who come together have met before; an opened divider brings one side to the other.
    """

    coming: tuple[Animal, ...]
    there: tuple[Animal, ...]
    tank: Tank
    on: datetime.date
    field: str = "tank"  # where the form asks for what brings them together


@dataclass(frozen=True)
class Offer:
    """What else the move may do, as one tick on its form; `carry_out` says in words what it did."""

    key: str
    label: str
    carry_out: Callable[[datetime.date, Person | None], str]


@dataclass(frozen=True)
class Leaving:
    """Animals that are moved on a day: from which tank each (if any), and into which (or none)."""

    animals: tuple[Animal, ...]
    before: Mapping[int, Tank]  # by animal
    tank: Tank | None
    on: datetime.date


Question = Callable[[Meeting], Iterable[Doubt]]
# The same of one after the other while many stays are written, given whoever may meet, where
# everybody is, and the first of the days.
Asking = Callable[[Meeting], list[Doubt]]
OfMany = Callable[[Mapping[int, Animal], Everywhere, datetime.date], Asking]
Moving = Callable[[Leaving], Iterable[Doubt]]
# The same of one after the other, given the animals that may be moved, and where everybody is.
AskingOfMove = Callable[[Leaving], list[Doubt]]
OfManyMoves = Callable[[Collection[int], Everywhere], AskingOfMove]
Offering = Callable[[Sequence[Animal]], Iterable[Offer]]  # of each that is moved

_questions: dict[str, tuple[Question, OfMany]] = {}
_movings: dict[str, tuple[Moving, OfManyMoves]] = {}
_offerings: dict[str, Offering] = {}


def add_question(name: str, question: Question, of_many: OfMany) -> None:
    """Called once by a room above, in its AppConfig.ready: what is asked of one, and in turn."""
    _questions[name] = question, of_many


def add_moving(name: str, moving: Moving, of_many: OfManyMoves) -> None:
    """Called once by a room above, in its AppConfig.ready: what is asked of a move by itself, and
    of many in turn.
    """
    _movings[name] = moving, of_many


def add_offering(name: str, offering: Offering) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _offerings[name] = offering


def asked_of_move(leaving: Leaving) -> list[Doubt]:
    """What every room says of animals that are moved, whomever they meet."""
    return [doubt for moving, _ in _movings.values() for doubt in moving(leaving)]


def what_follows(meeting: Meeting) -> list[Doubt]:
    """What every room says of animals that meet; nothing where somebody comes to nobody."""
    if not meeting.coming or not meeting.there:
        return []
    return [doubt for question, _ in _questions.values() for doubt in question(meeting)]


class FollowingMany:
    """What follows from many stays, one after the other; what it rests on is read when it is first
    asked. moved: animals that may be moved. who: whoever may meet. first: the first of the days.
    """

    def __init__(
        self,
        moved: Collection[int],
        who: Callable[[], Mapping[int, Animal]],
        where: Everywhere,
        first: datetime.date,
    ) -> None:
        self._moved, self._who, self._where, self._first = moved, who, where, first

    @cached_property
    def _asked_of_meetings(self) -> list[Asking]:
        who = self._who()
        return [of_many(who, self._where, self._first) for _, of_many in _questions.values()]

    @cached_property
    def _asked_of_moves(self) -> list[AskingOfMove]:
        return [of_many(self._moved, self._where) for _, of_many in _movings.values()]

    def of(self, meetings: Iterable[Meeting]) -> list[Doubt]:
        """`what_follows` of each."""
        asked = self._asked_of_meetings
        return [doubt for one in meetings for asks in asked for doubt in asks(one)]

    def of_move(self, leaving: Leaving) -> list[Doubt]:
        """`asked_of_move`."""
        return [doubt for asks in self._asked_of_moves for doubt in asks(leaving)]


def ask_what_follows(
    meetings: Iterable[Meeting], sure: Collection[str], reason: str = ""
) -> tuple[str, ...]:
    """Ask before animals meet. What was said of it in sentences, once it is answered."""
    doubts = [doubt for meeting in meetings for doubt in what_follows(meeting)]
    ask(doubts, sure, reason)
    return tuple(doubt.sentence for doubt in doubts)


def offers_for(animals: Sequence[Animal]) -> list[Offer]:
    """What moving all of these may do besides; what two of them would do is none: they go along."""
    found = [offer for offering in _offerings.values() for offer in offering(animals)]
    times = Counter(offer.key for offer in found)
    return [offer for offer in found if times[offer.key] == 1]


def said_of(stays: Sequence[Stay | None]) -> str:
    """What was said of the company of those that were moved, for the receipt."""
    return sentences(*{line: None for stay in stays if stay is not None for line in stay.follows})
