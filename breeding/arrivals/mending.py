"""How arrivals and loans are changed, withdrawn and brought back."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.urls import reverse
from django.utils import timezone

from breeding.animals import revisions
from breeding.animals.models import Animal
from breeding.arrivals.forms import AgreementChangeForm, ArrivalChangeForm
from breeding.arrivals.loans.acts import bring_back_agreement, change_agreement
from breeding.arrivals.loans.young import bring_back_given
from breeding.arrivals.models import Arrival, LoanAgreement, YoungGiven
from breeding.arrivals.services import bring_back_arrival, change_arrival
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.words.days import long_day, plain_day
from breeding.words.language import tell


class ArrivalKind(Kind[Arrival]):
    key = "arrival"
    model = Arrival
    related = ("animal", "contact")

    def called(self, record: Arrival) -> str:
        return tell(
            "how {animal} came on {day}", animal=record.animal.name, day=plain_day(record.on)
        )

    def lede(self, record: Arrival, *, program: Program, today: datetime.date) -> str:
        return tell(
            "{animal} itself stays on record, with its stays and what is assumed of its kin; from "
            "whom it came, and for what price, no longer counts.",
            animal=record.animal.name,
        )

    def crumb(self, record: Arrival) -> Way:
        return Way(record.animal.full_name, record.animal.get_absolute_url())

    def instead(self, record: Arrival) -> Way | None:
        address = reverse("program:withdraw", args=["animal", record.animal_id])
        return Way(tell("withdraw the animal"), address, before=tell("If it never came at all,"))

    def act(
        self, record: Arrival, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        super().act(record, facts, by=by, now=now)
        revisions.parentage_changed()

    def return_to_count(self, record: Arrival, *, by: Person, now: datetime.datetime) -> None:
        bring_back_arrival(record)

    def change_form(
        self,
        record: Arrival,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> ArrivalChangeForm:
        return ArrivalChangeForm(sent, record=record)

    def change(
        self, record: Arrival, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_arrival(record, today=timezone.localdate(now), **facts)

    def beside_change(self, record: Arrival) -> str:
        return tell("A scan that was written down with it is put right by itself, on her page.")


class LoanAgreementKind(Kind[LoanAgreement]):
    key = "loan-agreement"
    model = LoanAgreement
    related = ("animal", "contact")

    def called(self, record: LoanAgreement) -> str:
        known = {"animal": record.animal.name, "day": plain_day(record.since)}
        if record.is_out:
            return tell("what was agreed on {animal}, lent on {day}", **known)
        return tell("what was agreed on {animal}, taken in on {day}", **known)

    def lede(self, record: LoanAgreement, *, program: Program, today: datetime.date) -> str:
        if record.is_out:
            return tell("To whom, until when and on what terms no longer counts.")
        return tell("For a slip: {animal} then belongs to this program.", animal=record.animal.name)

    def caution(self, record: LoanAgreement, *, today: datetime.date) -> str:
        is_away = record.animal.state == Animal.State.ON_LOAN
        if record.is_out and record.back_on is None and is_away:
            return tell(
                "{animal} stays on loan since {day}; say where it stands if it never went.",
                animal=record.animal.name,
                day=long_day(record.since),
            )
        return ""

    def crumb(self, record: LoanAgreement) -> Way:
        return Way(record.animal.full_name, record.animal.get_absolute_url())

    def return_to_count(self, record: LoanAgreement, *, by: Person, now: datetime.datetime) -> None:
        bring_back_agreement(record)

    def change_form(
        self,
        record: LoanAgreement,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> AgreementChangeForm:
        return AgreementChangeForm(sent, record=record)

    def change(
        self, record: LoanAgreement, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_agreement(record, **facts)

    def beside_change(self, record: LoanAgreement) -> str:
        if record.is_out:
            return tell(
                "The days it was away follow from where the animal stands; change them there."
            )
        return ""


class YoungGivenKind(Kind[YoungGiven]):
    key = "young-given"
    model = YoungGiven
    related = ("animal", "agreement__animal", "agreement__contact")

    def called(self, record: YoungGiven) -> str:
        return tell(
            "that {animal} is given for the loan of {lent}",
            animal=record.animal.name,
            lent=record.agreement.animal.name,
        )

    def crumb(self, record: YoungGiven) -> Way:
        lent = record.agreement.animal
        return Way(lent.full_name, lent.get_absolute_url())

    def instead(self, record: YoungGiven) -> Way | None:
        address = reverse("arrivals:young", args=[record.agreement_id])
        return Way(tell("tick others"), address, before=tell("If another one was given,"))

    def return_to_count(self, record: YoungGiven, *, by: Person, now: datetime.datetime) -> None:
        bring_back_given(record)


KINDS = (ArrivalKind(), LoanAgreementKind(), YoungGivenKind())
