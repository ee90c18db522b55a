"""The act of putting tanks where they stand in the house."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db import transaction

from breeding.housing.models import Tank
from breeding.program.problems import constraints

STANDS = ("stands_in", "from_left_mm", "from_back_mm", "is_turned")


@transaction.atomic
def arrange_tanks(stands: Mapping[int, Mapping[str, Any]], tanks: Iterable[Tank]) -> list[Tank]:
    """Each tank where it is said to stand, by its key; those that were moved. One act for all.

    A tank of which nothing is said stays where it is. Raises ValidationError.
    """
    moved = []
    for tank in tanks:
        place = stands.get(tank.pk)
        if place is not None and changed_in(tank, place):
            for name in STANDS:
                setattr(tank, name, place[name])
            with constraints.named(tank):
                tank.save(update_fields=STANDS)
            moved.append(tank)
    return moved


def changed_in(tank: Tank, place: Mapping[str, Any]) -> Sequence[str]:
    """What of its place is another now."""
    return [name for name in STANDS if getattr(tank, name) != place[name]]
