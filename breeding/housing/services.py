"""Acts on tanks: moving an animal is one act."""

import datetime

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from breeding.animals.models import Animal
from breeding.housing.models import GONE, Stay, Tank
from breeding.program.formats import born_words, long_day
from breeding.program.models import Person


@transaction.atomic
def move_animal(
    animal: Animal, tank: Tank | None, *, on: datetime.date, by: Person | None
) -> Stay | None:
    """Into a tank on a day, out of the one it is in; without a tank it is in none from then on.

    Raises ValidationError, by field, for a day that cannot be, a tank it is in already, and an
    animal that is not here.
    """
    if animal.born_on is not None and on < animal.born_on:
        born = born_words(animal.born_on, animal.born_precision)
        raise ValidationError(
            {"on": f"{animal.name} was born {born}, after {long_day(on)}; choose a later day."}
        )
    if tank is not None and animal.state in GONE:
        since = f" on {long_day(animal.state_on)}" if animal.state_on else ""
        raise ValidationError(
            f"{animal.name} {animal.get_state_display()}{since}; only an animal that is here can "
            "be moved to a tank."
        )
    _end_present_stay(animal, tank, on)
    if tank is None:
        return None
    stay = Stay(animal=animal, tank=tank, since=on, recorded_by=by)
    try:
        with transaction.atomic():
            stay.save()
    except IntegrityError:  # somebody else moved it at the same moment
        raise ValidationError(
            f"{animal.name} is being moved by somebody else; look where it is now."
        ) from None
    return stay


def _end_present_stay(animal: Animal, tank: Tank | None, on: datetime.date) -> None:
    stays = Stay.objects.filter(animal=animal).select_related("tank")
    present = stays.filter(until__isnull=True).first()
    last = stays.filter(until__gt=on).order_by("-until").first()
    if present is not None:
        if present.tank == tank:
            raise ValidationError({"tank": f"{animal.name} is in {present.tank} already."})
        if on < present.since:
            raise ValidationError(
                {
                    "on": f"{animal.name} came to {present.tank} on {long_day(present.since)}, so "
                    f"it cannot leave it on {long_day(on)}; choose that day or a later one."
                }
            )
        present.until = on
        present.save()
    elif tank is None:
        raise ValidationError({"tank": f"{animal.name} is in no tank already."})
    elif last is not None and last.until is not None:
        raise ValidationError(
            {
                "on": f"{animal.name} was in {last.tank} until {long_day(last.until)}, so it "
                f"cannot come to {tank} on {long_day(on)}; choose that day or a later one."
            }
        )
