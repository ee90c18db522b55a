"""What the list of animals can be narrowed to."""

from fractions import Fraction
from typing import Any

import django_filters as filters
from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from breeding.animals import lineage, revisions
from breeding.animals.models import Animal, Species
from breeding.animals.species.profiles import every_species
from breeding.program.lists.narrowing import ChosenFilter, ListFilter, ListForm, SearchFilter
from breeding.program.typed.shares import TypedGenerationsField, TypedPercentField
from breeding.words.language import tell
from breeding.words.numbers import as_shown, written
from pedigree import is_hybrid


def number_input(placeholder: str) -> forms.TextInput:
    """A number that is typed, with the keys for numbers on a phone."""
    return forms.TextInput(attrs={"inputmode": "decimal", "placeholder": placeholder})


SPECIES = _("Species")
HERE = Q(state__in=[Animal.State.HERE, Animal.State.ON_LOAN])
STATES = {
    "here": (_("here or on loan"), HERE),
    "on_loan": (_("on loan"), Q(state=Animal.State.ON_LOAN)),
    "left": (_("left"), Q(state=Animal.State.LEFT)),
    "died": (_("died"), Q(state=Animal.State.DIED)),
    "all": (_("everyone"), None),
}


class PercentFilter(filters.Filter):
    """Typed in per cent."""

    field_class = TypedPercentField


class GenerationsFilter(filters.Filter):
    """Typed as a number of generations."""

    field_class = TypedGenerationsField


class AnimalFilterForm(ListForm):
    """What was typed, with the two ends of F in order."""

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        low, high = cleaned.get("f_from"), cleaned.get("f_to")
        if low is not None and high is not None and low > high:
            self.add_error(
                "f_to",
                tell(
                    "F to {high} % is less than F from {low} %; the second is the larger one.",
                    high=written(f"{100 * float(high):g}"),
                    low=written(f"{100 * float(low):g}"),
                ),
            )
        return cleaned


def species_choices() -> list[tuple[str, str]]:
    return [
        *((str(species.pk), species.short_name) for species in _species_that_count()),
        ("hybrid", tell("hybrids")),
        ("unknown", tell("unknown in part")),
    ]


def _species_that_count() -> list[Species]:
    every = every_species(revisions.current().figures)
    return [one for one in every.values() if not one.is_withdrawn]


def _with_shares(choice: str) -> list[int]:
    shares: Any = lineage.current().shares
    if choice == "hybrid":
        return [pk for pk, of in shares.items() if is_hybrid(of)]
    if choice == "unknown":
        return [pk for pk, of in shares.items() if of.get(None)]
    return [pk for pk, of in shares.items() if of.get(int(choice))]


class SpeciesFilter(filters.ChoiceFilter):
    """By the species of the animal that a field of the row names; "pk" is the row itself."""

    def __init__(self, field_name: str = "pk", label: Any = SPECIES) -> None:
        super().__init__(
            field_name=field_name, choices=species_choices, empty_label=_("any"), label=label
        )

    def filter(self, rows: QuerySet[Any], value: str) -> QuerySet[Any]:
        return rows.filter(**{f"{self.field_name}__in": _with_shares(value)}) if value else rows


class AnimalFilter(ListFilter):
    """Search in names, codes, markings and strains; sex, species, state, F and how much is known.

    Whatever follows from the lineage is looked up in what is kept of it, for all animals at once.
    """

    folded = ("f_from", "f_to", "known")
    folded_words = _("By inbreeding and known ancestry")

    q = SearchFilter(
        "code", "call_name", "markings", "strain__name", placeholder=_("name, code, markings")
    )
    sex = filters.ChoiceFilter(choices=Animal.Sex.choices, empty_label=_("any"), label=_("Sex"))
    species = SpeciesFilter()
    state = ChosenFilter(STATES, label=_("State"))

    f_from = PercentFilter(
        method="inbred_from", label=_("F from, in %"), widget=number_input("0"), max_length=20
    )
    f_to = PercentFilter(
        method="inbred_to", label=_("F to, in %"), widget=number_input("100"), max_length=20
    )
    known = GenerationsFilter(
        method="known_from",
        label=_("Known generations, at least"),
        widget=number_input("1.5"),
        max_length=20,
    )

    class Meta:
        form = AnimalFilterForm

    def inbred_from(self, queryset: QuerySet[Any], _: str, least: Fraction) -> QuerySet[Any]:
        found = lineage.current().inbreeding
        return queryset.filter(pk__in=[pk for pk, f in found.items() if as_shown(f) >= least])

    def inbred_to(self, queryset: QuerySet[Any], _: str, most: Fraction) -> QuerySet[Any]:
        found = lineage.current().inbreeding
        return queryset.filter(pk__in=[pk for pk, f in found.items() if as_shown(f) <= most])

    def known_from(self, queryset: QuerySet[Any], _: str, least: Fraction) -> QuerySet[Any]:
        found = lineage.current().equivalent_generations
        return queryset.filter(pk__in=[pk for pk, known in found.items() if known >= least])
