"""Animals by what they are of a trait: who shows it first, then by the chance to carry it."""

from collections.abc import Iterable
from dataclasses import dataclass

from breeding.animals.models import Animal
from breeding.traits.pairs import words_of
from breeding.traits.reading import HERE, SAME, Reading
from breeding.traits.said import error_words


@dataclass(frozen=True)
class Row:
    """One animal in the list of a trait."""

    animal: Animal
    words: str
    error: str
    seen: str  # as TraitLook.Seen says it; empty where nobody looked

    @property
    def is_here(self) -> bool:
        return self.animal.state in HERE


def everyone(reading: Reading) -> list[int]:
    """Everybody of whom something is known, those too that went or died."""
    return reading.ranked


def most_likely(reading: Reading) -> list[int]:
    """Those of them that are here or on loan, and likelier to have it than any founder: one query.

    A chance that is no larger says nothing but what was assumed.
    """
    here = set(Animal.objects.filter(state__in=HERE).values_list("pk", flat=True))
    likely = reading.assumed * (1 + SAME)
    return [key for key in reading.ranked if key in here and reading.has_it(key) > likely]


def rows_of(reading: Reading, keys: Iterable[int]) -> list[Row]:
    """These animals in this order, with what each is: one query."""
    keys = list(keys)
    named = Animal.objects.select_related("portrait").in_bulk(keys)
    return [row_of(reading, named[key]) for key in keys if key in named]


def row_of(reading: Reading, animal: Animal) -> Row:
    """What one animal is of a trait."""
    seen, test = reading.looked(animal.pk)
    return Row(
        animal,
        words_of(reading, animal.pk),
        error_words(reading.error(animal.pk)),
        test or seen,
    )
