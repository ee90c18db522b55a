"""What stands against a stay, and how it is said."""

import datetime
from collections.abc import Callable, Collection, Sequence

from django.core.exceptions import ValidationError
from django.utils import timezone

from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.timeline import Spell, covering, end_of_move
from breeding.words.days import born_words, long_day
from breeding.words.language import tell
from breeding.words.numbers import joined

SIDES = (Stay.Side.LEFT, Stay.Side.RIGHT)


def check_side(tank: Tank, side: str, others: Callable[[], Collection[tuple[str, str]]]) -> None:
    """Raise ValidationError for a side that is none, or of a divider that is not closed.

    others: name and side of each who else is in the tank on that day; asked where it matters.
    """
    if not side:
        return
    if side not in SIDES:
        raise ValidationError(
            {"side": tell("“{side}” is not a side; choose left or right.", side=side)}
        )
    if not tank.can_divide:
        raise ValidationError(
            {"side": tell("{tank} has no divider on record, so it has no sides.", tank=tank)}
        )
    inside = others()
    if inside and not any(where for _, where in inside):
        names = joined([name for name, _ in inside])
        raise ValidationError(
            {
                "side": tell(
                    "The divider of {tank} is open, with {names} inside; close it first.",
                    tank=tank,
                    names=names,
                )
            }
        )


def spell_of_move(
    animal: Animal, tank: Tank, side: str, spells: Sequence[Spell], on: datetime.date
) -> Spell:
    """Where one that is moved on a day stays, from when to when; spells: where it was, by their
    days. Raises ValidationError, by field, where it cannot be moved there.
    """
    check_day(animal, on)
    check_in_use(tank)
    if animal.state in GONE and (animal.state_on is None or animal.state_on < on):
        raise ValidationError(gone_words(animal))
    left, until = covering(spells, on), end_of_move(spells, on)
    if until is None and left is None and animal.state in GONE:
        until = animal.state_on
    if left is not None and left.place == (tank.pk, side):
        where = Stay(tank=tank, side=side).place
        raise ValidationError(
            {"tank": tell("{animal} is already in {place}.", animal=animal.name, place=where)}
        )
    return Spell(on, until, (tank.pk, side))


def check_in_use(tank: Tank) -> None:
    """Raise ValidationError for a tank that was given up: nobody is put there."""
    if tank.withdrawn_at is not None:
        since = long_day(timezone.localdate(tank.withdrawn_at))
        raise ValidationError(
            {
                "tank": tell(
                    "{tank} was given up on {day}; bring it back before it is used.",
                    tank=tank,
                    day=since,
                )
            }
        )


def check_day(animal: Animal, on: datetime.date, *, field: str = "on") -> None:
    """Raise ValidationError, at the field, for a day before the animal was born."""
    if animal.born_on is not None and on < animal.born_on:
        born = born_words(animal.born_on, animal.born_precision)
        raise ValidationError(
            {
                field: tell(
                    "{animal} was born {born}, after {day}; choose a later day.",
                    animal=animal.name,
                    born=born,
                    day=long_day(on),
                )
            }
        )


def in_the_way_words(animal: Animal, stay: Stay) -> str:
    """That a stay on record leaves no room for another."""
    said = {"animal": animal.name, "place": stay.place, "since": long_day(stay.since)}
    if stay.until:
        return tell(
            "In the way: {animal} is on record in {place} from {since} to {until}. Correct or "
            "withdraw that stay first.",
            **said,
            until=long_day(stay.until),
        )
    return tell(
        "In the way: {animal} is on record in {place} from {since} until now. Correct or withdraw "
        "that stay first.",
        **said,
    )


def gone_words(animal: Animal) -> str:
    """That one that died or left is put in no tank."""
    said = {"animal": animal.name, "state": animal.get_state_display()}
    if animal.state_on is None:
        return tell("{animal} {state}; only an animal that is here can be moved to a tank.", **said)
    return tell(
        "{animal} {state} on {day}; only an animal that is here can be moved to a tank.",
        **said,
        day=long_day(animal.state_on),
    )


def check_parting(
    tank: Tank, inside: Sequence[Stay], named: Sequence[Animal], on: datetime.date
) -> None:
    """Raise ValidationError where a divider cannot part those in a tank as they are named."""
    if not tank.can_divide:
        raise ValidationError(
            tell("{tank} has no divider on record; change the tank first.", tank=tank)
        )
    if any(stay.side for stay in inside):
        raise ValidationError(
            tell(
                "The divider of {tank} is closed on {day} already; move an animal to change its "
                "side.",
                tank=tank,
                day=long_day(on),
            )
        )
    if not inside:
        raise ValidationError(
            tell(
                "Nobody is in {tank} on {day}; there is nobody to part.",
                tank=tank,
                day=long_day(on),
            )
        )
    _check_named(tank, inside, named, on)


def _check_named(
    tank: Tank, inside: Sequence[Stay], named: Sequence[Animal], on: datetime.date
) -> None:
    """Each of those inside once, and nobody else."""
    there = {stay.animal_id for stay in inside}
    for animal in named:
        if animal.pk not in there:
            raise ValidationError(
                tell(
                    "{animal} is not in {tank} on {day}.",
                    animal=animal.name,
                    tank=tank,
                    day=long_day(on),
                )
            )
    twice = {animal.name for animal in named if named.count(animal) > 1}
    if twice:
        raise ValidationError(
            tell("{names} cannot be on both sides; choose one.", names=joined(sorted(twice)))
        )
    keys = {animal.pk for animal in named}
    left_out = sorted(stay.animal.name for stay in inside if stay.animal_id not in keys)
    if left_out:
        raise ValidationError(
            tell("On which side is {names}? Choose left or right.", names=joined(left_out))
        )
