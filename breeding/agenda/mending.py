"""How answers to lines of the day are changed, taken back and given again."""

import datetime
from collections import defaultdict
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


class AnswerKind(Kind[Answer]):
    key = "answer"
    model = Answer
    related = ("recorded_by",)
    button = "Take it back"

    def called(self, record: Answer) -> str:
        return f"the answer “{said_words(record)}” to “{line_words(record.key)}”"

    def heading(self, record: Answer) -> str:
        return f"Take back the answer “{said_words(record)}”"

    def beside(self, record: Answer) -> str:
        on = plain_day(timezone.localdate(record.recorded_at))
        by = f" by {record.recorded_by}" if record.recorded_by else ""
        return f"{line_words(record.key)}; given {on}{by}"

    def lede(self, record: Answer, *, program: Program, today: datetime.date) -> str:
        return "It stays readable with the reason, and the day asks again while it is due."

    def crumb(self, record: Answer) -> Way:
        return Way("The day", reverse("agenda:day"))

    def follows(self, record: Answer) -> str:
        return "The day asks again while it is due."

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
        return "done"
    return f"put off until {plain_day(answer.put_off_until)}"


def line_words(key: str) -> str:
    """What a line asked, by its stored key; names that only the line itself knew are left open."""
    name, about, *_ = f"{key}:".split(":")
    kind = kind_of(name)
    asked = kind.heading.format_map(defaultdict(lambda: "…", from_males="")) or kind.category
    if (own := reminder_of(key)) is not None:
        return own.text
    female = None
    if name in ABOUT_FEMALES and about.isascii() and about.isdigit():
        female = Animal.objects.filter(pk=about).first()
    return f"{female.name}: {asked}" if female is not None else asked


KINDS = (AnswerKind(),)
