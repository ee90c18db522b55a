"""The family tree of an animal as SVG: cards from rows, text from the pedigree, drawn once."""

import textwrap
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.pictures.family_drawing import FamilyDrawing
from breeding.animals.pictures.family_layout import FamilyLayout, lay_out
from breeding.animals.pictures.tree_svg import TreeNotDrawn, render
from breeding.animals.spoken import spoken_of
from breeding.words.days import born_words
from breeding.words.language import message, tell, tell_as, tell_many
from pedigree import Card, Pedigree, TreeWords, path_picture

GENERATIONS = 3
CARD_WIDTH = 16
MOST_COLUMNS = 5  # portraits side by side that a phone and the side of a desk's page can show
SEXES: dict[str, Any] = {"F": "female", "M": "male"}
ORIGINS = {"wild": message("wild caught"), "elsewhere": message("bred elsewhere")}


def cards_for(*animals: Animal, linked: bool = True) -> dict[int, Card]:
    """What stands in each node: name, birth and, for one without parents, where it is from.

    For these animals and all their ancestors; one query.
    """
    keys = _with_ancestors(*animals)
    cards = {}
    for row in spoken_of(keys).values():
        details = []
        if row["born_on"] is not None:
            birthday = born_words(row["born_on"], row["born_precision"])
            details.append(tell("born {birthday}", birthday=birthday))
        elif origin := _origin(row):
            details.append(origin)
        address = reverse("animals:detail", args=[row["pk"]]) if linked else None
        cards[row["pk"]] = Card(
            _name_lines(row), SEXES.get(row["sex"]), address, details=tuple(details)
        )
    return cards


def _with_ancestors(*animals: Animal) -> set[int]:
    pedigree = lineage.current().pedigree
    keys = {animal.pk for animal in animals}
    return keys.union(*(pedigree.ancestors(animal.pk) for animal in animals))


def _name_lines(row: Mapping[str, Any]) -> tuple[str, ...]:
    name = row["call_name"] or row["code"]
    return tuple(textwrap.wrap(name, CARD_WIDTH)[:3] or [name])


def _origin(row: Mapping[str, Any]) -> str:
    """Where one without parents is from."""
    is_founder = row["sire_id"] is None and row["dam_id"] is None
    origin = ORIGINS.get(row["origin"], "") if is_founder else ""
    return tell(origin) if origin else ""


def _birth_year(row: Mapping[str, Any]) -> str:
    return tell("born {birthday}", birthday=row["born_on"].year) if row["born_on"] else ""


@dataclass(frozen=True)
class Kept:
    """What a drawing shows of an animal, and the key of its portrait."""

    card: Card
    portrait: int | None


def kept_for(keys: Iterable[int], address: str = "") -> dict[int, Kept]:
    """Cards with few words, to stand below portraits; one query.

    `address` is the route that each leads to; empty: to none.
    """
    found = {}
    for row in spoken_of(keys).values():
        details = _origin(row) or _birth_year(row)
        card = Card(
            _name_lines(row),
            SEXES.get(row["sex"]),
            reverse(address, args=[row["pk"]]) if address else None,
            details=(details,) if details else (),
        )
        found[row["pk"]] = Kept(card, row["portrait_id"])
    return found


def tree_svg(
    animal: Animal,
    *,
    generations: int = GENERATIONS,
    most_columns: float = MOST_COLUMNS,
    address: str = "animals:detail",
    own_address: str = "animals:family",
) -> SafeString:
    """The tree as an element to put into a page; each node leads to its animal at `address`.

    The animal itself leads to its `own_address`. As many generations as stand beside each other in
    `most_columns`; one query.
    """
    pedigree = lineage.current().pedigree
    for shown in range(generations, 0, -1):
        layout = lay_out(pedigree, animal.pk, shown)
        if layout.columns <= most_columns:
            break
    title = tell_many(
        "Family tree of {animal} over {number} generation",
        "Family tree of {animal} over {number} generations",
        shown,
        animal=animal.name,
    )
    kept = kept_for([one for one in layout.places if isinstance(one, int)], address)
    mine = kept[animal.pk]
    own = replace(mine.card, address=reverse(own_address, args=[animal.pk]))
    kept[animal.pk] = replace(mine, card=own)
    drawn = _drawn_family(layout, pedigree, title, kept)
    return mark_safe(drawn)  # noqa: S308 (its words are escaped)


def _drawn_family(
    layout: FamilyLayout, pedigree: Pedigree, title: str, kept: Mapping[int, Kept]
) -> str:
    """The drawing of a layout with everybody's portrait."""
    drawing = FamilyDrawing(
        layout,
        cards={key: one.card for key, one in kept.items()},
        pictures={
            key: reverse("animals:thumbnail", args=[one.portrait])
            for key, one in kept.items()
            if one.portrait
        },
        shares=possible_shares(layout, pedigree),
    )
    return drawing.svg(title)


def possible_shares(layout: FamilyLayout, pedigree: Pedigree) -> dict[Any, Fraction]:
    """Of each possible sire in a drawing the chance that he is the sire."""
    found: dict[Any, Fraction] = {}
    for union in layout.unions:
        if not union.is_certain:
            for sire, share in pedigree.sires(union.young[0]).items():
                found[sire] = share
    return found


def paths_svg(sire: Animal, dam: Animal, pedigree: Pedigree) -> SafeString:
    """The lines by which two animals are kin: only those on them, a common ancestor once."""
    cards = cards_for(sire, dam)
    dot = path_picture(pedigree, sire.pk, dam.pk, cards=cards, words=tree_words())
    return _drawn(dot, tell("How {sire} and {dam} are kin", sire=sire.name, dam=dam.name), "paths")


def tree_words() -> TreeWords:
    """What a drawing says by itself, in the language of whoever reads it."""
    return TreeWords(
        unknown=tell("unknown"),
        not_on_record=tell("not on record"),
        young=tell("their young"),
        of_these=tell("young of these two"),
        share=tell("share {share}"),
        shortest=tell("the {shown} shortest of {number} paths"),
        thousands=tell_as("mark between thousands", ","),
    )


def _drawn(dot: str, title: str, prefix: str) -> SafeString:
    try:
        drawn = render(dot, title=title, prefix=prefix)
    except TreeNotDrawn as problem:
        drawn = format_html('<p class="soft">{}</p>', str(problem))
    return mark_safe(drawn)  # noqa: S308  (render keeps only what is harmless)
