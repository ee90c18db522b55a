"""How the ends of seasons, and a female's rest after a birth, are put right."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.utils import timezone

from breeding.pairings import services
from breeding.pairings.care.services import bring_back_rest, change_rest
from breeding.pairings.mending import corrections
from breeding.pairings.mending.forms import OutcomeChangeForm, RestChangeForm
from breeding.pairings.mending.seen import season_page
from breeding.pairings.models import Outcome, Rest
from breeding.program.acts.mending import Kind, Way, change_address_of
from breeding.program.models import Person, Program
from breeding.words.days import long_day
from breeding.words.language import tell


class OutcomeKind(Kind[Outcome]):
    """A birth with its pups is put right as a whole, with its litter."""

    key = "outcome"
    model = Outcome
    related = ("female",)

    def called(self, record: Outcome) -> str:
        on = long_day(record.on)
        return tell(
            "the record “{kind}” of {female} on {day}",
            kind=record.get_kind_display(),
            female=record.female,
            day=on,
        )

    def crumb(self, record: Outcome) -> Way:
        return season_page(record.female)

    def follows(self, record: Outcome) -> str:
        return tell("The season before it is open again.")

    def act(
        self, record: Outcome, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        services.withdraw_outcome(record, by=by, now=now, reason=facts["reason"])

    def own_change_page(self, record: Outcome) -> str:
        litter = getattr(record, "litter", None)
        if litter is None:
            return ""
        return change_address_of(litter) or str(litter.get_absolute_url())

    def change_form(
        self,
        record: Outcome,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> OutcomeChangeForm:
        return OutcomeChangeForm(sent, record=record)

    def change(
        self, record: Outcome, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        corrections.change_outcome(record, **facts, today=timezone.localdate(now))

    def may_come_back(self, record: Outcome) -> bool:
        return not hasattr(record, "litter")

    def return_to_count(self, record: Outcome, *, by: Person, now: datetime.datetime) -> None:
        corrections.bring_back_outcome(record, today=timezone.localdate(now))

    def returns(self, record: Outcome) -> str:
        return tell("The season before it is closed.")


class RestKind(Kind[Rest]):
    key = "rest"
    model = Rest
    related = ("outcome__female",)

    def called(self, record: Rest) -> str:
        return tell(
            "the rest of {female} until {day}",
            female=record.outcome.female,
            day=long_day(record.until),
        )

    def crumb(self, record: Rest) -> Way:
        return season_page(record.outcome.female)

    def follows(self, record: Rest) -> str:
        return tell("What was said of her rest before that counts again.")

    def change_form(
        self,
        record: Rest,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> RestChangeForm:
        return RestChangeForm(sent, record=record)

    def change(
        self, record: Rest, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_rest(record, **facts)

    def return_to_count(self, record: Rest, *, by: Person, now: datetime.datetime) -> None:
        bring_back_rest(record)
