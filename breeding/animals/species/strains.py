"""Acts on strains: written down, and changed."""

from typing import Any

from django.db import transaction

from breeding.animals.models import Strain
from breeding.program.acts.named import refuse_taken_name
from breeding.program.models import Person
from breeding.program.problems import constraints

FACTS = ("name", "species", "description")


@transaction.atomic
def add_strain(*, by: Person | None, **facts: Any) -> Strain:
    """Write down a strain. Raises ValidationError by field."""
    return change_strain(Strain(recorded_by=by), **facts)


@transaction.atomic
def change_strain(strain: Strain, **facts: Any) -> Strain:
    """Change name, species or description; what is not given stays."""
    for name in facts.keys() - set(FACTS):
        raise ValueError(f"A strain has no {name!r}: only {', '.join(FACTS)}.")
    for name, value in facts.items():
        setattr(strain, name, value.strip() if isinstance(value, str) else value)
    strain.full_clean(validate_constraints=False)
    refuse_taken_name(strain)
    with constraints.named(strain):
        strain.save()
    return strain
