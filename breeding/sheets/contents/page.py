"""A parentage sheet as a page: the same facts as on paper, in pieces a template can set."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from django.utils import translation
from django.utils.safestring import SafeString, mark_safe

from breeding.sheets.contents.facts import Passage, PersonOfTree, SheetFacts

Piece = tuple[str, bool]  # text, and whether it is a scientific name


@dataclass(frozen=True)
class Person:
    """A parent, with its caption in pieces and the address of its picture if there is one."""

    facts: PersonOfTree
    picture: str
    lines: tuple[list[Piece], ...]


@dataclass(frozen=True)
class SheetPage:
    """What the page shows, and nothing that is not on the sheet."""

    facts: SheetFacts
    sires: tuple[Person, ...]
    dam: Person
    picture: str
    kind: list[Piece]
    rows: tuple[tuple[str, list[Piece]], ...]
    passages: tuple[tuple[str, list[Piece]], ...]
    sting: tuple[Passage, ...]
    urgent: tuple[Passage, ...]
    tree: SafeString


def sheet_page(facts: SheetFacts, pictures: Mapping[str, str]) -> SheetPage:
    """Lay the facts out in their language; `pictures` gives each picture's address by its key."""
    with translation.override(facts.language):
        return _laid_out(facts, pictures)


def _laid_out(facts: SheetFacts, pictures: Mapping[str, str]) -> SheetPage:
    names = facts.scientific_names
    urgent = [place for place, part in enumerate(facts.cautions, start=1) if part.is_urgent]
    about_stings = max(urgent, default=0)  # what stands before the urgent words leads up to them
    animal = facts.animal
    return SheetPage(
        facts=facts,
        sires=tuple(_person(sire, pictures, names) for sire in facts.sires),
        dam=_person(facts.dam, pictures, names),
        picture=pictures.get(animal.portrait, ""),
        kind=pieces(", ".join(part for part in (animal.species, animal.strain) if part), names),
        rows=tuple((label, pieces(text, names)) for label, text in facts.rows),
        passages=(
            *((one.heading, pieces(one.text, names)) for one in facts.advice),
            *((one.heading, pieces(one.text, names)) for one in facts.cautions[about_stings:]),
        ),
        sting=tuple(one for one in facts.cautions[:about_stings] if not one.is_urgent),
        urgent=tuple(one for one in facts.cautions if one.is_urgent),
        tree=mark_safe(facts.tree),  # noqa: S308 - drawn by tree_svg, which keeps only what is harmless
    )


def _person(person: PersonOfTree, pictures: Mapping[str, str], names: tuple[str, ...]) -> Person:
    lines = [line for line in (person.size, person.origin, person.portrait_caption) if line]
    return Person(
        person, pictures.get(person.portrait, ""), tuple(pieces(line, names) for line in lines)
    )


def pieces(text: str, names: tuple[str, ...]) -> list[Piece]:
    """The text cut at scientific names, which are set in italics.

    >>> pieces("1/2 P. motoro expected", ("P. motoro",))
    [('1/2 ', False), ('P. motoro', True), (' expected', False)]
    """
    known = [re.escape(name) for name in sorted(names, key=len, reverse=True) if name.strip()]
    if not known:
        return [(text, False)] if text else []
    parts = re.split(f"({'|'.join(known)})", text)
    return [(part, place % 2 == 1) for place, part in enumerate(parts) if part]
