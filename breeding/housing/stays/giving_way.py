"""How stays on record give way to another: the rows that stay, and what goes on after it."""

import datetime
from collections.abc import Mapping, Sequence

from django.core.exceptions import ValidationError

from breeding.animals.models import Animal
from breeding.housing.models import Stay
from breeding.housing.stays.checks import in_the_way_words
from breeding.housing.stays.timeline import Cut, InTheWay, Spell, make_room

Date = datetime.date


def cuts_for(
    animal: Animal,
    stays: Mapping[int, Stay],
    spells: Sequence[Spell],
    new: Spell,
    *,
    is_move: bool = False,
) -> list[Cut]:
    """How its stays make room; stays: by the keys of the spells.

    Raises ValidationError naming what is in the way.
    """
    try:
        return make_room(spells, new, is_move=is_move)
    except InTheWay as found:
        raise ValidationError(
            [in_the_way_words(animal, stays[spell.key]) for spell in found.spells]
        ) from None


def give_way(stay: Stay, cut: Cut) -> Stay | None:
    """It ends or begins with the new one; what goes on of it after that, not yet written."""
    (stay.since, stay.until), *after = cut.left
    for since, until in after:
        return with_days(stay, since, until)
    return None


def with_days(stay: Stay, since: Date, until: Date | None) -> Stay:
    """The same with other days, as a row of its own that is not yet written."""
    return Stay(
        animal=stay.animal,
        tank=stay.tank,
        side=stay.side,
        since=since,
        until=until,
        reason=stay.reason,
    )
