"""What is asked once before a birth is kept: the age of the dam, and the number of pups."""

import datetime
from collections.abc import Iterator

from django.core.exceptions import ValidationError

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.parents.parentage import is_too_young, too_young
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.program.problems.doubts import Doubt
from breeding.words.days import born_words, long_day
from breeding.words.language import tell, tell_many


def check_age(dam: Animal, born_on: datetime.date) -> None:
    """Raise ValidationError for a dam that was too young, also when no pup of hers lives."""
    if dam.born_on is not None and dam.born_on >= born_on:
        born = born_words(dam.born_on, dam.born_precision)
        raise ValidationError(
            {
                "dam": tell(
                    "{dam} was born {born}, not before {day}.",
                    dam=dam.name,
                    born=born,
                    day=long_day(born_on),
                )
            }
        )
    if is_too_young(dam, born_on):
        raise ValidationError({"dam": too_young(dam, tell("the litter"), born_on, "day")})


def doubts_of_birth(dam: Animal, born_on: datetime.date, pups: int) -> Iterator[Doubt]:
    """A dam below her species' maturity, and more pups than its largest litter. A few queries."""
    figures = all_profiles().of(lineage.current().shares.get(dam.pk, {}))
    yield from _of_age(dam, born_on, figures)
    largest = round(figures.figure("litter_largest_pups"))
    if pups > largest:
        yield Doubt(
            tell_many(
                "{number} pup on {day} is more than the largest litter known of {species} "
                "({largest}).",
                "{number} pups on {day} are more than the largest litter known of {species} "
                "({largest}).",
                pups,
                day=long_day(born_on),
                species=figures.label,
                largest=largest,
            ),
            "alive_count",
        )


def _of_age(dam: Animal, born_on: datetime.date, figures: Figures) -> Iterator[Doubt]:
    age, mature = (
        _most_age_days(dam, born_on),
        round(figures.figure("mature_female_days")),
    )
    if age is not None and age < mature:
        yield Doubt(
            tell_many(
                "{dam} was {number} day old on {day}; by the figures of {species} a female is "
                "mature from {mature} days on.",
                "{dam} was {number} days old on {day}; by the figures of {species} a female is "
                "mature from {mature} days on.",
                age,
                dam=dam.name,
                day=long_day(born_on),
                species=figures.label,
                mature=mature,
            ),
            "dam",
        )


def _most_age_days(dam: Animal, on: datetime.date) -> int | None:
    """By the earliest day on which she can have been born; None while that is not known."""
    return None if dam.born_on is None else (on - dam.born_on).days
