"""Whose quarantine is another one after stays or animals were written."""

import datetime
from collections.abc import Collection, Mapping

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

    def read() -> Held:
        return remembered_while_reading(
            f"held in quarantine:{on}", lambda: quarantine_holds(all_quarantined(on).keys(), on)
        )

    def about(before: Held, now: Held) -> Collection[int]:
        return {key for key, _ in before.items() ^ now.items()}

    part = Part(read, about)
    return {Stay: part, Animal: part}
