"""Acts on water that several tanks share: written down, and changed."""

from typing import Any

from django.db import transaction

from breeding.housing.models import WaterSystem
from breeding.program.acts.named import refuse_taken_name
from breeding.program.models import Person
from breeding.program.problems import constraints

FACTS = ("name", "note")


@transaction.atomic
def add_system(*, by: Person | None, **facts: Any) -> WaterSystem:
    """Write down a shared water. Raises ValidationError by field."""
    return change_system(WaterSystem(recorded_by=by), **facts)


@transaction.atomic
def change_system(system: WaterSystem, **facts: Any) -> WaterSystem:
    """Change its name or note; what is not given stays."""
    for name in facts.keys() - set(FACTS):
        raise ValueError(f"A shared water has no {name!r}: only {', '.join(FACTS)}.")
    for name, value in facts.items():
        setattr(system, name, value.strip())
    system.full_clean(validate_constraints=False)
    refuse_taken_name(system)
    with constraints.named(system):
        system.save()
    return system
