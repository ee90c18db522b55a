"""Acts on tanks: moving an animal is one act."""

import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.program.formats import long_day
from breeding.program.models import Person

GONE = (Animal.State.LEFT, Animal.State.DIED)


@transaction.atomic
def move_animal(
    animal: Animal, tank: Tank | None, *, on: datetime.date, by: Person | None
) -> Stay | None:
    """Into a tank on a day, out of the one it is in; without a tank it is in none from then on."""
    if animal.born_on is not None and on < animal.born_on:
        raise ValidationError(
            {"on": f"{animal.name} was born on {long_day(animal.born_on)}, after {long_day(on)}."}
        )
    if tank is not None and animal.state in GONE:
        raise ValidationError(
            f"{animal.name} {animal.get_state_display()}; only an animal that is here is moved."
        )
    present = Stay.objects.filter(animal=animal, until__isnull=True).first()
    if present is not None:
        if present.tank == tank:
            raise ValidationError({"tank": f"{animal.name} is in {present.tank} already."})
        if on < present.since:
            raise ValidationError(
                {
                    "on": f"{animal.name} came to {present.tank} on {long_day(present.since)}; it "
                    f"cannot leave it on {long_day(on)}."
                }
            )
        present.until = on
        present.save()
    elif last := Stay.objects.filter(animal=animal, until__gt=on).first():
        raise ValidationError(
            {"on": f"{animal.name} was in {last.tank} until {long_day(last.until or on)}."}
        )
    if tank is None:
        return None
    stay = Stay(animal=animal, tank=tank, since=on, recorded_by=by)
    stay.full_clean()
    stay.save()
    return stay
