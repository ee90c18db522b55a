"""What cannot be true of one animal, in sentences: asked by hand and for many at once alike."""

import datetime
from collections.abc import Iterator, Mapping
from fractions import Fraction

from breeding.animals.models import Animal, Species
from breeding.words.days import born_words, long_day

Shares = Mapping[Species, Fraction]


def settle_birth_precision(animal: Animal) -> None:
    """No birth date: unknown; a date without a word on how exact it is: to the day."""
    if animal.born_on is None:
        animal.born_precision = Animal.Precision.UNKNOWN
    elif animal.born_precision == Animal.Precision.UNKNOWN:
        animal.born_precision = Animal.Precision.DAY


def is_before_birth(animal: Animal, on: datetime.date | None) -> bool:
    """Whether something of a day cannot be; False while one of the two days is unknown."""
    return on is not None and animal.born_on is not None and on < animal.born_on


def before_birth(animal: Animal, on: datetime.date) -> str:
    """The sentence that refuses it."""
    return (
        f"{long_day(on)} is before {animal.name} was born "
        f"({born_words(animal.born_on, animal.born_precision)})."
    )


def species_problems(name: str, shares: Shares | None, *, has_parents: bool) -> Iterator[str]:
    """Why an animal cannot be stated to have these species shares."""
    total = sum((shares or {}).values(), Fraction(0))
    if total > 1:
        yield (
            f"The species shares of {name} make {total}; together they are at most 1, and what "
            "is left over is unknown."
        )
    if shares and has_parents:
        yield (
            f"{name} has recorded parents, so its species follow from theirs; leave the shares "
            "empty."
        )
