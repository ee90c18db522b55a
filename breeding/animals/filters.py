"""What the list of animals can be narrowed to."""

from fractions import Fraction
from functools import lru_cache
from typing import Any

import django_filters as filters
from django import forms
from django.db.models import Q, QuerySet

from breeding.animals import lineage
from breeding.animals.fields import TypedGenerationsField, TypedPercentField
from breeding.animals.models import Animal, Species
from breeding.words.numbers import percent
from pedigree import is_hybrid


def number_input(placeholder: str) -> forms.TextInput:
    """A number that is typed, with the keys for numbers on a phone."""
    return forms.TextInput(attrs={"inputmode": "decimal", "placeholder": placeholder})


STATES = [
    ("here", "here or on loan"),
    ("on_loan", "on loan"),
    ("left", "left"),
    ("died", "died"),
    ("all", "everyone"),
]


class PercentFilter(filters.Filter):
    """Typed in per cent."""

    field_class = TypedPercentField


class GenerationsFilter(filters.Filter):
    """Typed as a number of generations."""

    field_class = TypedGenerationsField


class AnimalFilterForm(forms.Form):
    """What was typed, with the two ends of F in order."""

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        low, high = cleaned.get("f_from"), cleaned.get("f_to")
        if low is not None and high is not None and low > high:
            self.add_error(
                "f_to",
                f"F to {100 * float(high):g} % is less than F from {100 * float(low):g} %; the "
                "second is the larger one.",
            )
        return cleaned

    @property
    def plain_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name not in LINEAGE_FIELDS]

    @property
    def lineage_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in LINEAGE_FIELDS]

    @property
    def asks_lineage(self) -> bool:
        """Whether one of the folded fields is used."""
        return any(self[name].value() for name in LINEAGE_FIELDS)


LINEAGE_FIELDS = ("f_from", "f_to", "known")


class AnimalFilter(filters.FilterSet):
    """Search in names, codes, markings and strains; sex, species, state, F and how much is known.

    Whatever follows from the lineage is looked up in what is kept of it, for all animals at once.
    """

    q = filters.CharFilter(
        method="search",
        label="Search",
        widget=forms.TextInput(attrs={"type": "search", "placeholder": "name, code, markings"}),
    )
    sex = filters.ChoiceFilter(choices=Animal.Sex.choices, empty_label="any", label="Sex")
    species = filters.ChoiceFilter(
        method="of_species", choices=lambda: species_choices(), empty_label="any", label="Species"
    )
    state = filters.ChoiceFilter(
        method="in_state", choices=STATES, empty_label=None, initial="here", label="State"
    )

    f_from = PercentFilter(
        method="inbred_from", label="F from, in %", widget=number_input("0"), max_length=20
    )
    f_to = PercentFilter(
        method="inbred_to", label="F to, in %", widget=number_input("100"), max_length=20
    )
    known = GenerationsFilter(
        method="known_from",
        label="Known generations, at least",
        widget=number_input("1.5"),
        max_length=20,
    )

    class Meta:
        model = Animal
        fields: list[str] = []
        form = AnimalFilterForm

    def search(self, queryset: QuerySet[Animal], _: str, words: str) -> QuerySet[Animal]:
        for word in words.split()[:8]:
            queryset = queryset.filter(
                Q(code__icontains=word)
                | Q(call_name__icontains=word)
                | Q(markings__icontains=word)
                | Q(strain__name__icontains=word)
            )
        return queryset

    def in_state(self, queryset: QuerySet[Animal], _: str, state: str) -> QuerySet[Animal]:
        if state == "all":
            return queryset
        if state == "here":
            return queryset.filter(state__in=[Animal.State.HERE, Animal.State.ON_LOAN])
        return queryset.filter(state=state)

    def inbred_from(self, queryset: QuerySet[Animal], _: str, least: Fraction) -> QuerySet[Animal]:
        found = lineage.current().inbreeding
        return queryset.filter(pk__in=[pk for pk, f in found.items() if as_shown(f) >= least])

    def inbred_to(self, queryset: QuerySet[Animal], _: str, most: Fraction) -> QuerySet[Animal]:
        found = lineage.current().inbreeding
        return queryset.filter(pk__in=[pk for pk, f in found.items() if as_shown(f) <= most])

    def known_from(self, queryset: QuerySet[Animal], _: str, least: Fraction) -> QuerySet[Animal]:
        found = lineage.current().equivalent_generations
        return queryset.filter(pk__in=[pk for pk, known in found.items() if known >= least])

    def of_species(self, queryset: QuerySet[Animal], _: str, choice: str) -> QuerySet[Animal]:
        return queryset.filter(pk__in=_with_shares(choice))


def species_choices() -> list[tuple[str, str]]:
    return [
        *((str(species.pk), species.short_name) for species in Species.objects.all()),
        ("hybrid", "hybrids"),
        ("unknown", "unknown in part"),
    ]


def _with_shares(choice: str) -> list[int]:
    shares: Any = lineage.current().shares
    if choice == "hybrid":
        return [pk for pk, of in shares.items() if is_hybrid(of)]
    if choice == "unknown":
        return [pk for pk, of in shares.items() if of.get(None)]
    return [pk for pk, of in shares.items() if of.get(int(choice))]


@lru_cache(maxsize=4096)
def as_shown(inbreeding: float) -> Fraction:
    """F as the list shows it, so that whoever types 14.1 finds the animal that reads 14.1 %."""
    number = percent(inbreeding).removesuffix(" %")
    return Fraction(inbreeding) if number.startswith("less") else Fraction(number) / 100
