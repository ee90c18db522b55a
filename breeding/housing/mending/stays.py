"""How stays are put right."""

import datetime
from collections.abc import Mapping
from typing import Any

from django import forms
from django.urls import reverse

from breeding.housing import queries
from breeding.housing.models import Stay
from breeding.housing.services import ask_of_stays
from breeding.housing.stays import corrections
from breeding.housing.stays.following import said_of
from breeding.housing.stays.forms import StayWithdrawForm
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.program.problems.doubts import Answers
from breeding.words.days import plain_day
from breeding.words.language import message, tell


class StayKind(Kind[Stay]):
    key = "stay"
    model = Stay
    related = ("animal", "tank")
    what_was_done = message("Withdrawn or corrected")  # which of the two, its reason says

    def called(self, record: Stay) -> str:
        return tell(
            "the stay of {animal} in {place} since {day}",
            animal=record.animal,
            place=record.place,
            day=plain_day(record.since),
        )

    def heading(self, record: Stay) -> str:
        return tell("Remove this stay")

    def beside(self, record: Stay) -> str:
        said = {
            "animal": record.animal.name,
            "place": record.place,
            "since": plain_day(record.since),
        }
        if record.until is None:
            return tell("{animal} in {place}, {since} to now", **said)
        return tell(
            "{animal} in {place}, {since} to {until}", **said, until=plain_day(record.until)
        )

    def lede(self, record: Stay, *, program: Program, today: datetime.date) -> str:
        return tell(
            "The stay can still be read, with the reason, and no longer counts: nobody was in "
            "company through it."
        )

    def crumb(self, record: Stay) -> Way:
        address = reverse("housing:stays", args=[record.animal_id])
        return Way(tell("Where {animal} was", animal=record.animal.name), address)

    def follows(self, record: Stay) -> str:
        return tell("It stays readable below.")

    def form(self, record: Stay, sent: Mapping[str, Any] | None) -> forms.Form:
        others = queries.stays_of([record.animal])[record.animal_id]
        previous = None if record.is_withdrawn else corrections.previous_of(record, others)
        return StayWithdrawForm(sent, previous=previous)

    def act(
        self, record: Stay, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        corrections.withdraw_stay(
            record,
            reason=facts["reason"],
            back_to_previous=facts.get("back_to_previous", False),
            by=by,
            now=now,
        )

    def own_change_page(self, record: Stay) -> str:
        return reverse("housing:correct", args=[record.pk])

    def return_to_count(self, record: Stay, *, by: Person, now: datetime.datetime) -> None:
        corrections.bring_back_stay(record)

    def ask_after(self, record: Stay, answers: Answers, *, on: datetime.date) -> None:
        """Whom it met if it was there after all; or whom the stay before meets, which goes on."""
        record.refresh_from_db()
        stay = corrections.went_on_instead(record) if record.is_withdrawn else record
        if stay is None:
            return
        shorter = corrections.withdrawn_with(record) if record.is_withdrawn else []
        ask_of_stays([stay], answers.sure, answers.reason, instead_of=shorter)
        answers.said = said_of([stay])

    def returns(self, record: Stay) -> str:
        return tell("Whoever was in company through it counts as company again.")
