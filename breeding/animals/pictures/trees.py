"""The family tree of an animal as SVG: cards from rows, text from the pedigree, drawn once."""

import textwrap
from typing import Any

from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.pictures.tree_svg import TreeNotDrawn, render
from breeding.words.days import born_words
from breeding.words.numbers import counted
from pedigree import Card, Pedigree, family_tree, path_picture

GENERATIONS = 3
CARD_WIDTH = 16
SEXES: dict[str, Any] = {"F": "female", "M": "male"}
ORIGINS = {"wild": "wild caught", "elsewhere": "bred elsewhere"}


def cards_for(*animals: Animal, linked: bool = True) -> dict[int, Card]:
    """What stands in each node: name, birth and, for one without parents, where it is from.

    For these animals and all their ancestors; one query.
    """
    pedigree = lineage.current().pedigree
    keys = {animal.pk for animal in animals}
    for animal in animals:
        keys |= pedigree.ancestors(animal.pk)
    cards = {}
    fields = ("pk", "code", "call_name", "sex", "born_on", "born_precision", "origin", "sire_id")
    for row in Animal.objects.filter(pk__in=keys).values(*fields, "dam_id"):
        name = row["call_name"] or row["code"]
        lines = textwrap.wrap(name, CARD_WIDTH)[:3] or [name]
        origin = ORIGINS.get(row["origin"], "")
        details = []
        if row["born_on"] is not None:
            details.append(f"born {born_words(row['born_on'], row['born_precision'])}")
        elif origin and row["sire_id"] is None and row["dam_id"] is None:
            details.append(origin)
        address = reverse("animals:detail", args=[row["pk"]]) if linked else None
        cards[row["pk"]] = Card(
            tuple(lines), SEXES.get(row["sex"]), address, details=tuple(details)
        )
    return cards


def tree_svg(animal: Animal, *, generations: int = GENERATIONS) -> SafeString:
    """The tree as an element to put into a page; a sentence when it cannot be drawn."""
    dot = family_tree(
        lineage.current().pedigree,
        animal.pk,
        generations=generations,
        cards=cards_for(animal),
    )
    return _drawn(
        dot, f"Family tree of {animal.name} over {counted(generations, 'generation')}", "tree"
    )


def paths_svg(sire: Animal, dam: Animal, pedigree: Pedigree) -> SafeString:
    """The lines by which two animals are kin: only those on them, a common ancestor once."""
    cards = cards_for(sire, dam)
    dot = path_picture(pedigree, sire.pk, dam.pk, cards=cards)
    return _drawn(dot, f"How {sire.name} and {dam.name} are kin", "paths")


def _drawn(dot: str, title: str, prefix: str) -> SafeString:
    try:
        drawn = render(dot, title=title, prefix=prefix)
    except TreeNotDrawn as problem:
        drawn = format_html('<p class="soft">{}</p>', str(problem))
    return mark_safe(drawn)  # noqa: S308  (render keeps only what is harmless)
