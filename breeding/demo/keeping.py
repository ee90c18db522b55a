"""What the invented program decided of its latest litter that is old enough."""

import datetime

from breeding.litters.models import Litter, Verdict
from breeding.litters.verdicts.deciding import spoken_for
from breeding.program.models import Person

DECIDED_DAYS_AGO = 3
LEAST_AGE_DAYS = 30
REASONS = (
    ("hold", "the largest female of it; her dam has few daughters"),
    ("go", ""),
    ("go", "smaller, and sound"),
)


def decide(today: datetime.date, by: Person) -> None:
    """One litter has verdicts: one held back, two that may go, the others open."""
    on = today - datetime.timedelta(days=DECIDED_DAYS_AGO)
    old = today - datetime.timedelta(days=LEAST_AGE_DAYS)
    for litter in Litter.objects.filter(born_on__lte=old, withdrawn_at__isnull=True)[:4]:
        pups = litter.pups.filter(animal__state="here").select_related("animal")
        kept = spoken_for([pup.animal_id for pup in pups if pup.animal_id])
        free = [pup.animal for pup in pups if pup.animal and pup.animal_id not in kept]
        if len(free) <= len(REASONS):
            continue
        free.sort(key=lambda one: (one.sex != "F", one.code))
        for animal, (decision, reason) in zip(free, REASONS, strict=False):
            Verdict.objects.create(
                animal=animal, decision=decision, on=on, reason=reason, recorded_by=by
            )
        return
