"""How sightings and scans are put right."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.urls import reverse
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.pairings.mending import corrections
from breeding.pairings.mending.forms import ScanChangeForm, SightingChangeForm
from breeding.pairings.models import Scan, Sighting
from breeding.program.acts.mending import Kind, Way, clock_words
from breeding.program.models import Person, Program
from breeding.words.days import long_day
from breeding.words.language import tell


def season_page(female: Animal) -> Way:
    return Way(
        tell("{female}'s season", female=female.name), reverse("pairings:female", args=[female.pk])
    )


class SightingKind(Kind[Sighting]):
    key = "sighting"
    model = Sighting
    related = ("female", "kind")

    def called(self, record: Sighting) -> str:
        seen = clock_words(record.seen_at)
        return tell(
            "the sighting “{sign}” of {female} on {seen}",
            sign=record.kind,
            female=record.female,
            seen=seen,
        )

    def heading(self, record: Sighting) -> str:
        return tell("Withdraw the sighting of {sighting}", sighting=record)

    def beside(self, record: Sighting) -> str:
        return clock_words(record.seen_at)

    def crumb(self, record: Sighting) -> Way:
        if record.female.sex != Animal.Sex.FEMALE:
            return Way(record.female.name, record.page_address)
        return season_page(record.female)

    def beside_change(self, record: Sighting) -> str:
        anew = tell("Her season is worked out again, and that of whoever it was instead.")
        return f"{anew} {tell('Its photograph goes with it.')}" if record.photograph_id else anew

    def change_form(
        self,
        record: Sighting,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> SightingChangeForm:
        return SightingChangeForm(sent, files, record=record)

    def change(
        self, record: Sighting, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        corrections.change_sighting(record, **facts, by=by, now=now)

    def return_to_count(self, record: Sighting, *, by: Person, now: datetime.datetime) -> None:
        corrections.bring_back_sighting(record, now=now)


class ScanKind(Kind[Scan]):
    key = "scan"
    model = Scan
    related = ("female",)

    def called(self, record: Scan) -> str:
        return tell("the scan of {female} on {day}", female=record.female, day=long_day(record.on))

    def crumb(self, record: Scan) -> Way:
        return season_page(record.female)

    def change_form(
        self,
        record: Scan,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> ScanChangeForm:
        return ScanChangeForm(sent, record=record)

    def change(
        self, record: Scan, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        corrections.change_scan(record, **facts, today=timezone.localdate(now))

    def return_to_count(self, record: Scan, *, by: Person, now: datetime.datetime) -> None:
        corrections.bring_back_scan(record, today=timezone.localdate(now))
