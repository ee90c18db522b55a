"""How pairings and what was recorded of a female are withdrawn."""

import datetime
from typing import Any

from django.urls import reverse

from breeding.animals.models import Animal
from breeding.pairings import services
from breeding.pairings.models import NurseryTick, Outcome, Pairing, Rest, Scan, Sighting
from breeding.program.acts.mending import Kind, Way, clock_words
from breeding.program.models import Person
from breeding.words.days import long_day


def season_page(female: Animal) -> Way:
    return Way(f"{female.name}'s season", reverse("pairings:female", args=[female.pk]))


class PairingKind(Kind[Pairing]):
    key = "pairing"
    model = Pairing
    related = ("female", "male")

    def called(self, record: Pairing) -> str:
        return f"the pairing of {record}"

    def crumb(self, record: Pairing) -> Way:
        return Way(str(record), record.get_absolute_url())

    def leads_to(self, record: Pairing) -> str:
        return season_page(record.female).address


class SightingKind(Kind[Sighting]):
    key = "sighting"
    model = Sighting
    related = ("female", "kind")

    def called(self, record: Sighting) -> str:
        seen = clock_words(record.seen_at)
        return f"the sighting “{record.kind}” of {record.female} on {seen}"

    def heading(self, record: Sighting) -> str:
        return f"Withdraw the sighting of {record}"

    def beside(self, record: Sighting) -> str:
        return clock_words(record.seen_at)

    def crumb(self, record: Sighting) -> Way:
        return season_page(record.female)


class ScanKind(Kind[Scan]):
    key = "scan"
    model = Scan
    related = ("female",)

    def called(self, record: Scan) -> str:
        return f"the scan of {record.female} on {long_day(record.on)}"

    def crumb(self, record: Scan) -> Way:
        return season_page(record.female)


class OutcomeKind(Kind[Outcome]):
    key = "outcome"
    model = Outcome
    related = ("female",)

    def called(self, record: Outcome) -> str:
        on = long_day(record.on)
        return f"the record “{record.get_kind_display()}” of {record.female} on {on}"

    def crumb(self, record: Outcome) -> Way:
        return season_page(record.female)

    def follows(self, record: Outcome) -> str:
        return "The season before it is open again."

    def act(
        self, record: Outcome, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        services.withdraw_outcome(record, by=by, now=now, reason=facts["reason"])


class RestKind(Kind[Rest]):
    key = "rest"
    model = Rest
    related = ("outcome__female",)

    def called(self, record: Rest) -> str:
        return f"the rest of {record.outcome.female} until {long_day(record.until)}"

    def crumb(self, record: Rest) -> Way:
        return season_page(record.outcome.female)

    def follows(self, record: Rest) -> str:
        return "What was said of her rest before counts again."


class NurseryTickKind(Kind[NurseryTick]):
    key = "nursery-tick"
    model = NurseryTick
    related = ("female", "outcome")

    def called(self, record: NurseryTick) -> str:
        item = record.get_item_display()
        return f"the tick “{item}” for {record.female} on {long_day(record.on)}"

    def crumb(self, record: NurseryTick) -> Way:
        if record.outcome is not None:
            return season_page(record.female)
        female = record.female
        address = reverse("pairings:nursery", args=[female.pk])
        return Way(f"The nursery for {female.name}'s pups", address)

    def follows(self, record: NurseryTick) -> str:
        return "It is to be seen to again."


KINDS = (PairingKind(), SightingKind(), ScanKind(), OutcomeKind(), RestKind(), NurseryTickKind())
