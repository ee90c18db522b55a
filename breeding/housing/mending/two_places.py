"""What undoing an act must not bring back: an animal in two places, or in a tank given up."""

from collections.abc import Iterable
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from breeding.housing.models import Stay
from breeding.housing.stays.checks import check_in_use
from breeding.housing.stays.placing import spell_of
from breeding.program.models import Act
from breeding.words.days import long_day
from breeding.words.language import tell


def refuse_two_places(sender: type[Act], rows: Iterable[models.Model], **_: Any) -> None:
    """Raise ValidationError naming both places and the day on which it would be in them."""
    moved = {row.animal_id for row in rows if isinstance(row, Stay)}
    stays = Stay.objects.filter(animal__in=moved).select_related("animal", "tank")
    by_animal: dict[int, list[Stay]] = {}
    for stay in stays.order_by("since", "pk"):
        by_animal.setdefault(stay.animal_id, []).append(stay)
        if stay.is_present:
            check_in_use(stay.tank)
    for found in by_animal.values():
        for at, earlier in enumerate(found):
            for later in found[at + 1 :]:
                _refuse_both(earlier, later)


def _refuse_both(earlier: Stay, later: Stay) -> None:
    if spell_of(earlier).shares_time_with(spell_of(later)):
        raise ValidationError(
            tell(
                "It cannot be undone: {animal} would be in {place} and in {other} from {day} on. "
                "Correct or withdraw one of these stays first.",
                animal=earlier.animal.name,
                place=earlier.place,
                other=later.place,
                day=long_day(max(earlier.since, later.since)),
            )
        )
