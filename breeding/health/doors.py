"""What is asked at the doors of the rooms below: before a move, and before an animal goes."""

import datetime
from collections.abc import Iterator

from breeding.animals.models import Animal
from breeding.health.holds import doubts_of_held, treatments_holding
from breeding.health.models import Treatment
from breeding.housing.models import Tank
from breeding.housing.stays.following import Leaving
from breeding.program.problems.doubts import Doubt
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import some

MOST_NAMED = 6


def doubts_of_move(leaving: Leaving) -> Iterator[Doubt]:
    """Of those that are held where they are, with a reason; and of water that is being treated."""
    to = leaving.tank
    moved = [
        one
        for one in leaving.animals
        if (before := leaving.before.get(one.pk)) is not None and before != to
    ]
    yield from doubts_of_held(moved, "move", leaving.on, field="tank")
    coming = [
        one
        for one in leaving.animals
        if to is not None and not _is_one_water(leaving.before.get(one.pk), to)
    ]
    if to is not None and coming:
        yield from _doubts_of_water(coming, to, leaving.on)


def doubts_before_going(animal: Animal, on: datetime.date) -> Iterator[Doubt]:
    """What holds one that is to go on loan or to leave."""
    return doubts_of_held([animal], "sell", on, needs_reason=False)


def treatments_in_water(tank: Tank, on: datetime.date) -> list[Treatment]:
    """What is in the water of a tank on a day, its own or of one that shares it: one query."""
    rows = Treatment.objects.filter(treatments_holding(on), tank__isnull=False)
    found = [one for one in rows.select_related("tank") if one.goes_on(on)]
    return [one for one in found if _is_one_water(one.tank, tank)]


def _is_one_water(one: Tank | None, other: Tank) -> bool:
    if one is None:
        return False
    return one.pk == other.pk or (one.system_id is not None and one.system_id == other.system_id)


def _doubts_of_water(coming: list[Animal], to: Tank, on: datetime.date) -> Iterator[Doubt]:
    names = some([one.name for one in coming], MOST_NAMED)
    for one in treatments_in_water(to, on):
        said = {
            "tank": to,
            "remedy": one.remedy,
            "day": long_day(one.since),
            "animals": names,
        }
        if one.tank_id == to.pk:
            words = tell(
                "{tank}: its water has been treated with {remedy} since {day}. {animals} would be "
                "treated with it, and held as long.",
                **said,
            )
        else:
            words = tell(
                "{tank}: its water, that of {other}, has been treated with {remedy} since {day}. "
                "{animals} would be treated with it, and held as long.",
                other=one.tank,
                **said,
            )
        yield Doubt(words, "tank")
