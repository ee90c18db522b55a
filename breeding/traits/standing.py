"""How traits stand: each with what was seen, what is assumed of it, and one animal's traits."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, Q

from breeding.animals.models import Animal
from breeding.traits.inheritance import among_founders
from breeding.traits.models import Trait, TraitLook
from breeding.traits.pairs import words_of
from breeding.traits.ranking import Row, row_of
from breeding.traits.reading import Reading, belief_of, reading_of
from breeding.traits.said import error_words
from breeding.words.chances import of_100
from breeding.words.language import tell
from breeding.words.numbers import percent


@dataclass(frozen=True)
class TraitRow:
    """A trait in the list of all."""

    trait: Trait
    seen_on: int
    contradicts: bool


def on_record() -> list[TraitRow]:
    """Every trait, with on how many animals something was seen and whether that can be."""
    counting = Count("looks__animal", filter=Q(looks__withdrawn_at__isnull=True), distinct=True)
    return [
        TraitRow(one, one.seen_on, bool(reading_of(one).contradicting))
        for one in Trait.objects.annotate(seen_on=counting)
    ]


def assumed_words(trait: Trait) -> str:
    """What is assumed of founders, and what follows of it."""
    zero, one, two = among_founders(belief_of(trait))
    share = percent(trait.founder_share)
    if trait.hides:
        return tell(
            "Of founders and unknown parents it is assumed that {share} of their genes are this "
            "one: {carriers} carry it and {shows} show it.",
            share=share,
            carriers=of_100(one),
            shows=of_100(two),
        )
    return tell(
        "Of founders and unknown parents it is assumed that {share} of their genes are this one: "
        "{shows} show it.",
        share=share,
        shows=of_100(1 - zero),
    )


@dataclass(frozen=True)
class OfAnimal:
    """One animal and one trait: what it is, and what was seen of it."""

    trait: Trait
    row: Row
    looks: tuple[TraitLook, ...]
    contradicts: bool
    is_puzzling: bool
    is_known: bool  # something that was seen bears on it


def traits_of(animal: Animal, looks: Iterable[TraitLook]) -> list[OfAnimal]:
    """Each trait of which something is to be said of this animal."""
    by_trait: dict[int, list[TraitLook]] = {}
    for look in looks:
        by_trait.setdefault(look.trait_id, []).append(look)
    found = []
    for trait in Trait.objects.all():
        reading = reading_of(trait)
        one = OfAnimal(
            trait,
            row_of(reading, animal),
            tuple(by_trait.get(trait.pk, ())),
            animal.pk in reading.contradicting,
            animal.pk in reading.puzzling,
            not reading.says_nothing_of(animal.pk),
        )
        if one.looks or one.contradicts or one.is_known:
            found.append(one)
    return found


def traits_words(animal: int) -> str:
    """For a sheet: each trait of which something is known of this animal, with what it is.

    What was seen and cannot be is left out, as is what nobody knows.
    """
    found = []
    for trait in Trait.objects.all():
        reading = reading_of(trait)
        if not reading.contradicting and not reading.says_nothing_of(animal):
            found.append(tell("{trait}: {standing}", trait=trait, standing=_dated(reading, animal)))
    if not found:
        return ""
    return tell(
        "{traits} (as far as each is inherited as this program believes)", traits="; ".join(found)
    )


def _dated(reading: Reading, animal: int) -> str:
    """With how far it may be off, where it is sampled."""
    words, error = words_of(reading, animal), error_words(reading.error(animal))
    return tell("{words}, {error}", words=words, error=error) if error else words
