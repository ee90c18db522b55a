"""A wish for a trait held against what an animal is of it, by its chances."""

from collections.abc import Iterable, Mapping

from breeding.animals.models import Animal
from breeding.buyers.models import Wish
from breeding.traits.inheritance import carries_in, shows_in
from breeding.traits.pairs import words_of
from breeding.traits.reading import Reading, reading_of
from breeding.traits.said import is_sure
from breeding.words.chances import chance
from breeding.words.language import tell

Readings = Mapping[int, Reading]


def readings_for(wishes: Iterable[Wish]) -> Readings:
    """The chances of every trait that these wishes name: once for all of them."""
    traits = {wish.trait.pk: wish.trait for wish in wishes if wish.trait is not None}
    return {key: reading_of(trait) for key, trait in traits.items()}


def trait_against(wish: Wish, animal: Animal, readings: Readings) -> list[str]:
    """Why it can never be the one wished for, as far as the trait goes."""
    if wish.trait is None:
        return []
    share = _chance(wish, animal, readings)
    if share is None or share > 0:
        return []
    if wish.trait_wanted == Wish.Wanted.SHOWS:
        return [tell("does not show {trait}, and will not", trait=wish.trait)]
    return [tell("no carrier of {trait}", trait=wish.trait)]


def trait_not_yet(wish: Wish, animal: Animal, readings: Readings) -> list[str]:
    """What is not certain enough yet: more young or a test may tell. Unknown never fits."""
    trait = wish.trait
    if trait is None:
        return []
    share, least = _chance(wish, animal, readings), wish.trait_least_percent
    if share is None:
        return [tell("whether it has {trait} is not known", trait=trait)]
    if share <= 0 or is_sure(share) or (least is not None and share * 100 >= least):
        return []
    standing = words_of(_reading(wish, readings), animal.pk)
    if least is None:
        return [tell("{trait}: {standing}; wanted for certain", trait=trait, standing=standing)]
    return [
        tell(
            "{trait}: {standing}; wanted with {share} at least",
            trait=trait,
            standing=standing,
            share=chance(least / 100),
        )
    ]


def _reading(wish: Wish, readings: Readings) -> Reading:
    assert wish.trait is not None  # noqa: S101 - for the type checker
    found = readings.get(wish.trait.pk)
    return found if found is not None else reading_of(wish.trait)


def _chance(wish: Wish, animal: Animal, readings: Readings) -> float | None:
    """None where nothing that was seen bears on it, or what was seen cannot be."""
    reading = _reading(wish, readings)
    chances = reading.chances(animal.pk)
    if chances is None or reading.contradicting or reading.says_nothing_of(animal.pk):
        return None
    asked = shows_in if wish.trait_wanted == Wish.Wanted.SHOWS else carries_in
    return asked(chances, reading.belief, has_one_copy=reading.has_one_copy(animal.pk))
