"""What a change of an animal would contradict in a room above: asked before, answered with it."""

import datetime
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.doubts.names import doubts_of_call_name
from breeding.animals.models import Animal
from breeding.animals.services import change_animal
from breeding.program.models import Person
from breeding.program.problems.doubts import ask
from breeding.program.problems.namesakes import same_name
from breeding.words.language import tell

Facts = Mapping[str, Any]  # as the form of an animal gives them


@dataclass(frozen=True)
class Asking:
    """A change that somebody is about to make."""

    animal: Animal  # as it is on record
    facts: Facts
    by: Person | None
    now: datetime.datetime
    today: datetime.date
    sure: Collection[str] = frozenset()  # the doubts that are answered


@dataclass(frozen=True)
class Answer:
    """One way out: what it says, and the act that makes the change in that way."""

    key: str
    words: str
    act: Callable[[], Animal]


@dataclass(frozen=True)
class Question:
    """What the change would contradict, and the ways out."""

    words: str
    answers: tuple[Answer, ...]


Ask = Callable[[Asking], Question | None]
_asks: dict[str, Ask] = {}


def add_question(name: str, ask: Ask) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _asks[name] = ask


def question_of(asking: Asking) -> Question | None:
    """The first thing that the change would contradict."""
    found = (ask(asking) for ask in _asks.values())
    return next((one for one in found if one is not None), None)


@transaction.atomic
def change_as_answered(asking: Asking, answer: str) -> Animal:
    """Change the animal; when that contradicts something, in the way that was answered.

    Raises ValidationError with the question while it is not answered, and DoubtError for a new
    name that another animal has.
    """
    new_name = str(asking.facts.get("call_name", asking.animal.call_name))
    if not same_name(new_name, asking.animal.call_name):
        ask(doubts_of_call_name(new_name, besides=asking.animal), asking.sure)
    question = question_of(asking)
    if question is None:
        return change_animal(asking.animal, **asking.facts)
    for one in question.answers:
        if one.key == answer:
            return one.act()
    raise ValidationError(
        f"{question.words} {tell('Say below what is right.')}", code="contradicts"
    )
