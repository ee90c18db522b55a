"""That an animal has a pairing planned already, in words; reads nothing."""

import datetime
from collections.abc import Collection

from breeding.animals.models import Animal
from breeding.planning.models import PlannedPairing
from breeding.words.days import short_day
from breeding.words.language import tell


def planned_with(
    one: Animal, waiting: Collection[PlannedPairing], today: datetime.date
) -> tuple[str, ...]:
    """With whom and from when, behind a name: "with Saiph from 17 Dec"."""
    found = []
    for plan in waiting:
        if one.pk in (plan.female_id, plan.male_id):
            other = plan.male if one.pk == plan.female_id else plan.female
            day = short_day(plan.not_before, today)
            found.append(tell("with {animal} from {day}", animal=other.name, day=day))
    return tuple(found)
