"""How animals, their measurements and their pictures are changed, withdrawn and brought back."""

import datetime
from collections import Counter
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html, format_html_join

from breeding.animals.away.following import asked_before_return
from breeding.animals.away.loans import change_loan
from breeding.animals.doubts.measured import doubts_of_picture
from breeding.animals.forms import LoanChangeForm, MeasurementForm, PhotographChangeForm
from breeding.animals.mending.withdrawing import (
    bring_back_animal,
    parts_that_went,
    resting_on_animal,
    withdraw_animal,
)
from breeding.animals.models import Animal, Loan, Measurement, Photograph
from breeding.animals.pictures.keeping import change_photograph, choose_portrait, settle_portrait
from breeding.animals.services import change_measurement
from breeding.program.acts.mending import Kind, Way, kind_of
from breeding.program.acts.resting import parts_of, whole_of
from breeding.program.models import Person, Program, Withdrawable
from breeding.program.problems.doubts import Answers
from breeding.words.days import plain_day
from breeding.words.language import message, tell
from breeding.words.numbers import joined

MOST_LINKS = 12
RESTS = message(
    "It cannot be withdrawn while this rests on it: {records}. Put each right first; if two "
    "records are one animal, give what rests on this one to the other, by hand."
)
RESTS_AND_MORE = message(
    "It cannot be withdrawn while this rests on it: {records} and {more} more. Put each right "
    "first; if two records are one animal, give what rests on this one to the other, by hand."
)


class AnimalKind(Kind[Animal]):
    key = "animal"
    model = Animal

    def called(self, record: Animal) -> str:
        return record.full_name

    def crumb(self, record: Animal) -> Way:
        return Way(record.full_name, record.get_absolute_url())

    def lede(self, record: Animal, *, program: Program, today: datetime.date) -> str:
        return tell(
            "For an animal that was entered by mistake, or twice. It stays readable with the "
            "reason, and counts nowhere: in no list, no lineage and no plan."
        )

    def instead(self, record: Animal) -> Way | None:
        address = reverse("animals:state", args=[record.pk])
        return Way(tell("say that"), address, before=tell("If it died or left,"))

    def caution(self, record: Animal, *, today: datetime.date) -> str:
        if resting := resting_on_animal(record):
            more = len(resting) - MOST_LINKS
            return format_html(
                tell(RESTS_AND_MORE if more > 0 else RESTS),
                records=format_html_join(
                    ", ", "{}", [(_link(one),) for one in resting[:MOST_LINKS]]
                ),
                more=more,
            )
        going = [one for one in parts_of(record) if isinstance(one, Withdrawable)]
        said = _by_kind([one for one in going if not one.is_withdrawn])
        return tell("With it goes what is only its own: {records}.", records=said) if said else ""

    def act(
        self, record: Animal, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        withdraw_animal(record, by=by, now=now, reason=facts["reason"])

    def follows(self, record: Animal) -> str:
        said = _by_kind(parts_that_went(record))
        return tell("With it went {records}.", records=said) if said else ""

    def return_to_count(self, record: Animal, *, by: Person, now: datetime.datetime) -> None:
        bring_back_animal(record)

    def ask_after(self, record: Animal, answers: Answers, *, on: datetime.date) -> None:
        """Whom it meets that is on record in a tank again."""
        if not record.is_withdrawn:
            answers.ask(asked_before_return(record, on))

    def returns(self, record: Animal) -> str:
        counting = [one for one in parts_of(record) if isinstance(one, Withdrawable)]
        said = _by_kind([one for one in counting if not one.is_withdrawn])
        return tell("With it came {records}.", records=said) if said else ""

    def own_change_page(self, record: Animal) -> str:
        return "" if record.is_withdrawn else reverse("animals:edit", args=[record.pk])


class OfAnimalKind(Kind[Any]):
    """A record that stands on the page of its animal."""

    related = ("animal",)

    def crumb(self, record: Any) -> Way:
        return Way(record.animal.full_name, record.animal.get_absolute_url())


class MeasurementKind(OfAnimalKind):
    key = "measurement"
    model = Measurement

    def called(self, record: Measurement) -> str:
        if record.on is None:
            return tell("the measurement of {animal} of a day unknown", animal=record.animal)
        day = plain_day(record.on)
        return tell("the measurement of {animal} on {day}", animal=record.animal, day=day)

    def change_form(
        self,
        record: Measurement,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> Any:
        return MeasurementForm(sent, instance=record, program=program, today=today)

    def change(
        self, record: Measurement, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_measurement(record, **facts)


class LoanKind(OfAnimalKind):
    key = "loan"
    model = Loan

    def called(self, record: Loan) -> str:
        return tell(
            "the loan of {animal} from {since} to {until}",
            animal=record.animal,
            since=plain_day(record.since),
            until=plain_day(record.until) if record.until else tell("now"),
        )

    def lede(self, record: Loan, *, program: Program, today: datetime.date) -> str:
        return tell(
            "For a loan that never was. It stays readable with the reason; these days no longer "
            "count as days in unknown company."
        )

    def act(
        self, record: Loan, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        if record.until is None:
            raise ValidationError(
                tell(
                    "{animal} is on loan; say where it stands first, then withdraw this.",
                    animal=record.animal.name,
                )
            )
        super().act(record, facts, by=by, now=now)

    def change_form(
        self,
        record: Loan,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> Any:
        return LoanChangeForm(sent, record=record)

    def change(
        self, record: Loan, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_loan(record, **facts, today=timezone.localdate(now))


THE_DRAWING = message("the drawing of {animal}")
THE_PHOTOGRAPH = message("the photograph of {animal}")
THE_DRAWING_OF = message("the drawing of {animal}, {day}")
THE_PHOTOGRAPH_OF = message("the photograph of {animal}, {day}")


class PhotographKind(OfAnimalKind):
    key = "photograph"
    model = Photograph

    def called(self, record: Photograph) -> str:
        if record.taken_on is None:
            sentence = THE_DRAWING if record.is_drawing else THE_PHOTOGRAPH
            return tell(sentence, animal=record.animal)
        sentence = THE_DRAWING_OF if record.is_drawing else THE_PHOTOGRAPH_OF
        return tell(sentence, animal=record.animal, day=plain_day(record.taken_on))

    def act(
        self, record: Photograph, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        super().act(record, facts, by=by, now=now)
        settle_portrait(record.animal)

    def follows(self, record: Photograph) -> str:
        animal = Animal.every.get(pk=record.animal_id)
        return (
            "" if animal.portrait_id else tell("{animal} has no portrait now.", animal=animal.name)
        )

    def return_to_count(self, record: Photograph, *, by: Person, now: datetime.datetime) -> None:
        super().return_to_count(record, by=by, now=now)
        if record.animal.portrait_id is None:
            choose_portrait(record.animal, record)

    def change_form(
        self,
        record: Photograph,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> Any:
        return PhotographChangeForm(sent, instance=record, today=today)

    def change(
        self, record: Photograph, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_photograph(record, **facts)

    def ask_after(self, record: Photograph, answers: Answers, *, on: datetime.date) -> None:
        """What is asked of a new picture is asked of one that was changed, or counts again."""
        if not record.is_withdrawn:
            answers.ask(doubts_of_picture(record.animal, record.taken_on))


def _link(record: models.Model) -> str:
    """The record by name, leading to the page where it is put right."""
    shown = whole_of(record) or record if not isinstance(record, Withdrawable) else record
    named = f"{shown._meta.verbose_name} “{shown}”"
    kind = kind_of(shown)
    if hasattr(shown, "get_absolute_url"):
        address = shown.get_absolute_url()
    else:
        address = kind.crumb(shown).address if kind else ""
    return format_html('<a href="{}">{}</a>', address, named) if address else named


def _by_kind(records: list[Withdrawable]) -> str:
    """ "2 stays and 1 measurement"."""
    found = Counter(type(one)._meta for one in records)
    return joined(
        [
            f"{number} {kind.verbose_name if number == 1 else kind.verbose_name_plural}"
            for kind, number in found.items()
        ]
    )


KINDS = (AnimalKind(), MeasurementKind(), PhotographKind(), LoanKind())
