"""What moves when two are taken apart: an animal, or the divider between them."""

import datetime
from collections.abc import Collection

from django.core.exceptions import ValidationError
from django.db.models import Q

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import stays_over
from breeding.housing.services import close_divider, move_animal
from breeding.housing.stays.following import said_of
from breeding.housing.stays.shared_water import share_water
from breeding.pairings.models import Pairing
from breeding.program.models import Person
from breeding.words.language import message, tell
from breeding.words.stored import as_stored, stored

TOGETHER = stored(message("Together with {female} and {male}"))


def move_apart(
    pairing: Pairing,
    moved: str,
    tank: Tank | None,
    side: str,
    on: datetime.date,
    by: Person | None,
    sure: Collection[str],
    reason: str = "",
) -> list[Animal]:
    """Move the male or the female; returns who is elsewhere now."""
    if not moved:
        if tank is not None:
            raise ValidationError(
                {"moved": tell("Who was moved to {tank}? Choose the male or her.", tank=tank)}
            )
        return []
    is_female = moved == Pairing.Moved.FEMALE
    animal, other = (pairing.female, pairing.male)[:: 1 if is_female else -1]
    stays = {stay.animal_id: stay for stay in stays_over(on).filter(animal__in=[animal, other])}
    here, there = stays.get(animal.pk), stays.get(other.pk)
    if tank is None:
        if here is None or there is None or not share_water(here, there):
            return []
        move_animal(animal, None, on=on, by=by, sure=sure, reason=reason)
        return [animal]
    goal = Stay(animal=animal, tank=tank, side=side)
    if there is not None and share_water(goal, there):
        raise ValidationError(
            {
                "tank": tell(
                    "{other} is in {place} on that day; choose another tank.",
                    other=other.name,
                    place=there.place,
                )
            }
        )
    if here is None or (here.tank_id, here.side) != (tank.pk, side):  # else it was moved already
        stay = move_animal(animal, tank, on=on, by=by, side=side, sure=sure, reason=reason)
        pairing.follows = said_of([stay])
    return [animal]


def close_between(
    pairing: Pairing,
    on: datetime.date,
    left: list[Animal],
    right: list[Animal],
    by: Person | None,
) -> list[Animal]:
    """Close the divider of the tank they share; returns everybody in it."""
    two = [pairing.female, pairing.male]
    stays = {stay.animal_id: stay for stay in stays_over(on).filter(animal__in=two)}
    hers, his = stays.get(pairing.female_id), stays.get(pairing.male_id)
    if hers is None or his is None or not share_water(hers, his):
        return two if hers and his else []  # in different waters, or not on record in a tank
    for side in (left, right):
        if all(animal in side for animal in two):
            raise ValidationError(
                tell(
                    "{pair} are both on one side of the divider; choose a side for each.",
                    pair=pairing,
                )
            )
    close_divider(hers.tank, left=left, right=right, on=on, by=by)
    return [*left, *right]


def ended_with(pairing: Pairing) -> str:
    """The note on a separation that went with another one; it is found again by this."""
    return as_stored(TOGETHER, female=pairing.female, male=pairing.male)


def end_others(parted: list[Animal], pairing: Pairing) -> None:
    """Other open pairings of these end too, where the two are on record in different waters."""
    on = pairing.separated_on
    if not parted or on is None:
        return
    others = Pairing.objects.filter(
        Q(female__in=parted) | Q(male__in=parted),
        separated_on__isnull=True,
        withdrawn_at__isnull=True,
        introduced_on__lte=on,
    )
    for other in others.exclude(pk=pairing.pk):
        two = [other.female_id, other.male_id]
        stays = list(stays_over(on).filter(animal__in=two))
        if len(stays) == 2 and not share_water(*stays):
            other.separated_on = on
            other.moved, other.moved_to = pairing.moved, pairing.moved_to
            other.separation_note = ended_with(pairing)
            other.save()
