"""What cannot be true of one animal, by field: asked of new ones, many or one, and of changes."""

import datetime
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from django.core.exceptions import ValidationError

from breeding.animals.models import Animal, Species
from breeding.animals.parents import parentage
from breeding.animals.parents.parentage import Parents, Young
from breeding.words.days import born_words, long_day
from breeding.words.language import tell

Shares = Mapping[Species, Fraction]
Problem = tuple[str, ValidationError]  # the field, and what is wrong with it

# What a form has chosen from a list, or the act itself gives.
_NOT_CHECKED_BY_FIELD = {"sire", "dam", "strain", "portrait", "recorded_by"}


@dataclass(frozen=True)
class OnRecord:
    """What the records say beyond the animal itself, as far as its parents depend on it.

    `sires` and `dams` are already those of other animals; `gestation_longest_days` answers for a
    dam, and is asked only where a parent has died.
    """

    gestation_longest_days: Callable[[Animal | None], int]
    sires: frozenset[int] = frozenset()
    dams: frozenset[int] = frozenset()
    descendants: frozenset[int] = frozenset()


def problems_of(
    animal: Animal, parents: Parents, shares: Shares | None, on_record: OnRecord
) -> Iterator[Problem]:
    """Everything that forbids an animal with these parents and species shares; its code aside."""
    yield from by_field(lambda: animal.clean_fields(exclude=_NOT_CHECKED_BY_FIELD))
    yield from by_field(animal.clean)
    if animal.state_on is not None and is_before_birth(animal, animal.state_on):
        yield "state_on", ValidationError(before_birth(animal, animal.state_on))
    for sentence in species_problems(animal.name, shares, has_parents=bool(parents.everyone)):
        yield "species_shares", ValidationError(sentence)
    if parents.everyone:
        young = _as_young(animal, parents, on_record)
        yield from by_field(lambda: parentage.check(young, parents))


def by_field(check: Callable[[], object]) -> Iterator[Problem]:
    """What a check raises, one after the other, each with its field."""
    try:
        check()
    except ValidationError as problem:
        for where, errors in problem.update_error_dict({}).items():
            yield from ((where, error) for error in errors)


def _as_young(animal: Animal, parents: Parents, on_record: OnRecord) -> Young:
    has_died = any(one.state == Animal.State.DIED for _, one in parents.everyone)
    return Young(
        name=animal.name,
        born_on=animal.born_on,
        born_precision=animal.born_precision,
        pk=animal.pk,
        # Only the death of a parent asks how long a gestation can be.
        gestation_longest_days=on_record.gestation_longest_days(parents.dam) if has_died else 0,
        descendants=on_record.descendants,
        known_sires=on_record.sires,
        known_dams=on_record.dams,
    )


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
    return tell(
        "{day} is before {animal} was born ({birthday}).",
        day=long_day(on),
        animal=animal.name,
        birthday=born_words(animal.born_on, animal.born_precision),
    )


def is_after_death(animal: Animal, on: datetime.date | None) -> bool:
    """Whether something of a day cannot be; False while the day of death is unknown."""
    died_on = animal.state_on if animal.state == Animal.State.DIED else None
    return on is not None and died_on is not None and on > died_on


def after_death(animal: Animal, on: datetime.date) -> str:
    """The sentence that refuses it."""
    day = long_day(on)
    if animal.state_on is None:
        return tell("{day} is after {animal} died.", day=day, animal=animal.name)
    then = long_day(animal.state_on)
    return tell("{day} is after {animal} died ({then}).", day=day, animal=animal.name, then=then)


def species_problems(name: str, shares: Shares | None, *, has_parents: bool) -> Iterator[str]:
    """Why an animal cannot be stated to have these species shares."""
    total = sum((shares or {}).values(), Fraction(0))
    if total > 1:
        yield tell(
            "The species shares of {animal} make {total}; together they are at most 1, and what is "
            "left over is unknown.",
            animal=name,
            total=total,
        )
    if shares and has_parents:
        yield tell(
            "{animal} has recorded parents, so its species follow from theirs; leave the shares "
            "empty.",
            animal=name,
        )
