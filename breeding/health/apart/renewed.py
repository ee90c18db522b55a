"""Whose quarantine is another one after stays or animals were written."""

import datetime
from collections.abc import Mapping

from django.db.models import Model

from breeding.animals.models import Animal
from breeding.health.hold import Hold
from breeding.health.quarantine import all_quarantined, quarantine_holds
from breeding.housing.models import Stay
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.unchanged.each import Part

Held = Mapping[int, tuple[Hold, ...]]


def quarantine_around(on: datetime.date) -> Mapping[type[Model], Part]:
    """Of stays and animals what somebody rests on beside its own: whoever comes into its water, or
    dies in it, begins its days again."""

    part = Part(lambda: held_in_quarantine(on), held_otherwise)
    return {Stay: part, Animal: part}


def held_in_quarantine(on: datetime.date) -> Held:
    """What holds everybody who is in quarantine on a day; once a page."""
    return remembered_while_reading(
        f"held in quarantine:{on}", lambda: quarantine_holds(all_quarantined(on).keys(), on)
    )


def held_otherwise(before: Held, now: Held) -> set[int]:
    """Whom something else holds now, or nothing, or something for the first time."""
    return {key for key, _ in before.items() ^ now.items()}
