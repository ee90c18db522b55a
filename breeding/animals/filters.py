"""What the list of animals can be narrowed to."""

from typing import Any

import django_filters as filters
from django import forms
from django.db.models import Q, QuerySet

from breeding.animals import lineage
from breeding.animals.models import Animal, Species
from breeding.animals.words import is_hybrid

STATES = [
    ("here", "here or on loan"),
    ("on_loan", "on loan"),
    ("left", "left"),
    ("died", "died"),
    ("all", "everyone"),
]


class AnimalFilter(filters.FilterSet):
    """Search in names, codes, markings and strains; sex, species and state."""

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

    class Meta:
        model = Animal
        fields: list[str] = []

    def search(self, queryset: QuerySet, _: str, words: str) -> QuerySet:
        for word in words.split()[:8]:
            queryset = queryset.filter(
                Q(code__icontains=word)
                | Q(call_name__icontains=word)
                | Q(markings__icontains=word)
                | Q(strain__name__icontains=word)
            )
        return queryset

    def in_state(self, queryset: QuerySet, _: str, state: str) -> QuerySet:
        if state == "all":
            return queryset
        if state == "here":
            return queryset.filter(state__in=[Animal.State.HERE, Animal.State.ON_LOAN])
        return queryset.filter(state=state)

    def of_species(self, queryset: QuerySet, _: str, choice: str) -> QuerySet:
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
