"""How observations, treatments and visits are put right."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.utils import timezone

from breeding.animals.models import Animal
from breeding.health.illness import observing, treating, visiting
from breeding.health.illness.forms import (
    ObservationChangeForm,
    TreatmentChangeForm,
    VisitChangeForm,
)
from breeding.health.models import Observation, Treatment, Visit
from breeding.housing.models import Tank
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.program.problems.doubts import Answers
from breeding.words.days import long_day
from breeding.words.language import tell


def _page_of(who: Animal | Tank) -> Way:
    return Way(str(who), who.get_absolute_url())


class ObservationKind(Kind[Observation]):
    key = "observation"
    model = Observation
    related = ("animal", "photograph")

    def called(self, record: Observation) -> str:
        return tell(
            "“{what}” of {animal} since {day}",
            what=record.get_kind_display(),
            animal=record.animal,
            day=long_day(record.since),
        )

    def crumb(self, record: Observation) -> Way:
        return _page_of(record.animal)

    def change_form(
        self,
        record: Observation,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> ObservationChangeForm:
        return ObservationChangeForm(sent, files, record=record)

    def change(
        self, record: Observation, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        observing.change_observation(record, **facts, today=timezone.localdate(now), by=by)

    def return_to_count(self, record: Observation, *, by: Person, now: datetime.datetime) -> None:
        observing.bring_back_observation(record, today=timezone.localdate(now))


class TreatmentKind(Kind[Treatment]):
    key = "treatment"
    model = Treatment
    related = ("animal", "tank__system")

    def called(self, record: Treatment) -> str:
        said = {"remedy": record.remedy, "day": long_day(record.since)}
        if record.animal is None:
            return tell(
                "the treatment of the water of {tank} with {remedy} since {day}",
                tank=record.tank,
                **said,
            )
        return tell(
            "the treatment of {animal} with {remedy} since {day}", animal=record.animal, **said
        )

    def lede(self, record: Treatment, *, program: Program, today: datetime.date) -> str:
        return tell("It stays readable with the reason, no longer counts, and holds nobody.")

    def crumb(self, record: Treatment) -> Way:
        return Way(record.remedy, record.get_absolute_url())

    def change_form(
        self,
        record: Treatment,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> TreatmentChangeForm:
        return TreatmentChangeForm(sent, record=record)

    def change(
        self, record: Treatment, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        given = treating.Prescribed(**facts)
        treating.change_treatment(record, given, today=timezone.localdate(now))

    def return_to_count(self, record: Treatment, *, by: Person, now: datetime.datetime) -> None:
        treating.bring_back_treatment(record, today=timezone.localdate(now))

    def ask_after(self, record: Treatment, answers: Answers, *, on: datetime.date) -> None:
        """What is asked of a new one is asked of one that counts again, or was changed."""
        if record.is_withdrawn:
            return
        doubts = treating.doubts_of(record, on)
        answers.ask(doubts)
        if answers.reason and any(one.needs_reason for one in doubts):
            record.reason = answers.reason
            record.save(update_fields=["reason"])


class VisitKind(Kind[Visit]):
    key = "visit"
    model = Visit
    related = ("animal", "tank")

    def called(self, record: Visit) -> str:
        return tell(
            "the visit to {animal} on {day}",
            animal=record.animal or record.tank,
            day=long_day(record.on),
        )

    def crumb(self, record: Visit) -> Way:
        return Way(str(record.animal or record.tank), record.get_absolute_url())

    def change_form(
        self,
        record: Visit,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> VisitChangeForm:
        return VisitChangeForm(sent, record=record)

    def change(
        self, record: Visit, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        visiting.change_visit(record, **facts, today=timezone.localdate(now))

    def return_to_count(self, record: Visit, *, by: Person, now: datetime.datetime) -> None:
        visiting.bring_back_visit(record, today=timezone.localdate(now))


KINDS = (ObservationKind(), TreatmentKind(), VisitKind())
