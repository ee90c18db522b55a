"""How answers to lines of the day are changed, taken back and given again."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.urls import reverse
from django.utils import timezone

from breeding.agenda import services
from breeding.agenda.forms import AnswerChangeForm
from breeding.agenda.kinds.table import kind_of
from breeding.agenda.looked import ABOUT_FEMALES
from breeding.agenda.models import Answer
from breeding.agenda.own.queries import reminder_of
from breeding.animals.models import Animal
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.words.days import plain_day
from breeding.words.language import message, tell


class AnswerKind(Kind[Answer]):
    key = "answer"
    model = Answer
    related = ("recorded_by",)
    button = message("Take it back")

    def called(self, record: Answer) -> str:
        return tell(
            "the answer “{answer}” to “{line}”",
            answer=said_words(record),
            line=line_words(record.key),
        )

    def heading(self, record: Answer) -> str:
        return tell("Take back the answer “{answer}”", answer=said_words(record))

    def beside(self, record: Answer) -> str:
        on = plain_day(timezone.localdate(record.recorded_at))
        said = {"line": line_words(record.key), "day": on, "person": record.recorded_by}
        if record.recorded_by is None:
            return tell("{line}; given {day}", **said)
        return tell("{line}; given {day} by {person}", **said)

    def lede(self, record: Answer, *, program: Program, today: datetime.date) -> str:
        return tell("It stays readable with the reason, and the day asks again while it is due.")

    def crumb(self, record: Answer) -> Way:
        return Way(tell("The day"), reverse("agenda:day"))

    def follows(self, record: Answer) -> str:
        return tell("The day asks again while it is due.")

    def change_form(
        self,
        record: Answer,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> AnswerChangeForm:
        return AnswerChangeForm(sent, record=record)

    def change(
        self, record: Answer, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        services.change_answer(record, **facts, today=timezone.localdate(now))

    def return_to_count(self, record: Answer, *, by: Person, now: datetime.datetime) -> None:
        services.bring_back_answer(record)


def said_words(answer: Answer) -> str:
    """“done”, or until when it was put off."""
    if answer.put_off_until is None:
        return tell("done")
    return tell("put off until {day}", day=plain_day(answer.put_off_until))


def line_words(key: str) -> str:
    """What a line asked, by its stored key; names that only the line itself knew are left open."""
    name, about, *_ = f"{key}:".split(":")
    kind = kind_of(name)
    if (own := reminder_of(key)) is not None:
        return own.text
    female = None
    if name in ABOUT_FEMALES and about.isascii() and about.isdigit():
        female = Animal.objects.filter(pk=about).first()
    asked = kind.in_general
    return f"{female.name}: " + asked if female is not None else asked


KINDS = (AnswerKind(),)
