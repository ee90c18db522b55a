"""Which rows that are written where an animal goes are about somebody's wish."""

from collections.abc import Mapping
from typing import Any

from django.db.models import Model, QuerySet

from breeding.animals.changed import standing_elsewhere
from breeding.animals.models import Animal
from breeding.buyers.models import HandOver, Reservation, Wish
from breeding.program.unchanged.come import Written
from breeding.program.unchanged.growing import Matters


def met_renewed(waiting: QuerySet[Wish]) -> Mapping[type[Model], Matters]:
    """Whether what was written can be about the standing wishes, or about what meets one."""

    def is_theirs(model: type[HandOver | Reservation]) -> Matters:
        def matters(written: Written) -> bool:
            contacts = {key for (key,) in written.told(model._base_manager.all(), "contact_id")}
            return waiting.filter(contact__in=contacts).exists()

        return matters

    def stands_for_one(written: Written) -> bool:
        """Also of any other where a trait is wished for: its chances rest on all who are here."""
        animals = standing_elsewhere(written)
        if animals is None or waiting.filter(trait__isnull=False).exists():
            return True
        theirs: dict[str, Any] = {"animal__in": animals, "contact__in": waiting.values("contact")}
        models = Reservation, HandOver
        return any(model._base_manager.filter(**theirs).exists() for model in models)

    return {
        HandOver: is_theirs(HandOver),
        Reservation: is_theirs(Reservation),
        Animal: stands_for_one,
    }
