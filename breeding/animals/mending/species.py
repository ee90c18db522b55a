"""How species and strains are changed, withdrawn and brought back."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.urls import reverse

from breeding.animals import revisions
from breeding.animals.models import Species, Strain
from breeding.animals.species.adding import change_species
from breeding.animals.species.forms import SpeciesForm, StrainForm
from breeding.animals.species.strains import change_strain
from breeding.program.acts.mending import Kind, Way
from breeding.program.acts.named import bring_back_by_name, withdraw_unless_named
from breeding.program.models import Person, Program
from breeding.words.language import tell


class SpeciesKind(Kind[Species]):
    key = "species"
    model = Species
    related = ("profile",)

    def called(self, record: Species) -> str:
        return tell("the species {species}", species=record)

    def lede(self, record: Species, *, program: Program, today: datetime.date) -> str:
        return tell(
            "For a species that is not kept here, or was written down by mistake. It cannot be "
            "chosen any more; its figures stay readable."
        )

    def crumb(self, record: Species) -> Way:
        return Way(tell("Species and their figures"), record.get_absolute_url())

    def act(
        self, record: Species, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        withdraw_unless_named(record, by=by, now=now, reason=facts["reason"])
        revisions.figures_changed()

    def return_to_count(self, record: Species, *, by: Person, now: datetime.datetime) -> None:
        bring_back_by_name(record, "accepted_name")
        revisions.figures_changed()

    def change_form(
        self,
        record: Species,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> Any:
        return SpeciesForm(sent, instance=record)

    def change(
        self, record: Species, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_species(record, **facts)

    def beside_change(self, record: Species) -> str:
        return tell(
            "Sheets that were issued stay as they are. Its figures have a page of their own."
        )


class StrainKind(Kind[Strain]):
    key = "strain"
    model = Strain
    related = ("species",)

    def called(self, record: Strain) -> str:
        return tell("the strain {strain}", strain=record)

    def crumb(self, record: Strain) -> Way:
        return Way(tell("Strains"), record.get_absolute_url())

    def instead(self, record: Strain) -> Way | None:
        address = reverse("animals:join_strain", args=[record.pk])
        return Way(
            tell("join it to the other"), address, before=tell("If it was written down twice,")
        )

    def act(
        self, record: Strain, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        withdraw_unless_named(record, by=by, now=now, reason=facts["reason"])

    def return_to_count(self, record: Strain, *, by: Person, now: datetime.datetime) -> None:
        bring_back_by_name(record)

    def change_form(
        self,
        record: Strain,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> Any:
        return StrainForm(sent, instance=record)

    def change(
        self, record: Strain, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_strain(record, **facts)


KINDS = (SpeciesKind(), StrainKind())
