"""How pairings are put right, a separation too."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.utils import timezone

from breeding.pairings.care.separation import parted_with
from breeding.pairings.company.together import doubts_of_two
from breeding.pairings.mending import corrections
from breeding.pairings.mending.forms import PairingChangeForm
from breeding.pairings.mending.seen import season_page
from breeding.pairings.models import Pairing
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.program.problems.doubts import Answers
from breeding.program.queries import the_program
from breeding.words.days import long_day
from breeding.words.language import sentences, tell
from breeding.words.numbers import joined


class PairingKind(Kind[Pairing]):
    key = "pairing"
    model = Pairing
    related = ("female", "male")

    def called(self, record: Pairing) -> str:
        return tell("the pairing of {pair}", pair=record)

    def crumb(self, record: Pairing) -> Way:
        return Way(str(record), record.get_absolute_url())

    def leads_to(self, record: Pairing) -> str:
        if record.is_withdrawn:
            return season_page(record.female).address
        return str(record.get_absolute_url())

    def caution(self, record: Pairing, *, today: datetime.date) -> str:
        return _nobody_is_moved(record)

    def beside_change(self, record: Pairing) -> str:
        another = tell("Was it another pair? Withdraw this one instead.")
        return f"{another} {_nobody_is_moved(record)}".strip()

    def change_form(
        self,
        record: Pairing,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> PairingChangeForm:
        return PairingChangeForm(sent, record=record, today=today)

    def change(
        self, record: Pairing, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        today = timezone.localdate(now)
        corrections.change_pairing(record, **facts, program=the_program(), today=today)

    def changed(self, record: Pairing) -> str:
        if record.separated_on is None:
            return tell(
                "On record they have been together since {day}.", day=long_day(record.introduced_on)
            )
        return tell(
            "On record they have been apart since {day}.", day=long_day(record.separated_on)
        )

    def return_to_count(self, record: Pairing, *, by: Person, now: datetime.datetime) -> None:
        corrections.bring_back_pairing(record)

    def ask_after(self, record: Pairing, answers: Answers, *, on: datetime.date) -> None:
        """Of two that are together again by it; kinship has its reason in the record."""
        if not record.is_withdrawn and record.separated_on is None:
            program = the_program()
            answers.ask(doubts_of_two(record.female, record.male, on=on, program=program))

    def returns(self, record: Pairing) -> str:
        return self.changed(record)


def _nobody_is_moved(record: Pairing) -> str:
    """What does not follow: where animals were, and pairings that ended with it."""
    if record.separated_on is None or not record.moved:
        return ""
    who = {
        Pairing.Moved.MALE: record.male.name,
        Pairing.Moved.FEMALE: record.female.name,
    }.get(Pairing.Moved(record.moved))
    day = long_day(record.separated_on)
    if who:
        said = tell(
            "Where they were moved on {day} stays as it is: correct the stays of {animal} too if "
            "that is wrong.",
            day=day,
            animal=who,
        )
    else:
        said = tell(
            "Where they were moved on {day} stays as it is: correct the sides of the divider too "
            "if that is wrong.",
            day=day,
        )
    others = [str(one) for one in parted_with(record)[1:]]
    if not others:
        return said
    also = tell("{pairs} ended with it, and stay separated on record.", pairs=joined(others))
    return sentences(said, also)
