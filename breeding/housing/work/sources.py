"""Acts on source waters: written down, and changed."""

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.housing.models import WaterSource
from breeding.program.acts.named import refuse_taken_name
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.words.days import long_day
from breeding.words.language import tell

FACTS = (
    *("name", "comes_from", "is_dechlorinated", "prepared", "tested_on", "ph", "temperature_c"),
    *("conductivity_us_cm", "kh_dh", "note"),
)


@transaction.atomic
def add_source(*, by: Person | None, today: datetime.date, **facts: Any) -> WaterSource:
    """Write down a source water. Raises ValidationError by field."""
    return change_source(WaterSource(recorded_by=by), today=today, **facts)


@transaction.atomic
def change_source(source: WaterSource, *, today: datetime.date, **facts: Any) -> WaterSource:
    """Change what is said of it; what is not given stays."""
    for name in facts.keys() - set(FACTS):
        raise ValueError(f"A source water has no {name!r}: only {', '.join(FACTS)}.")
    for name, value in facts.items():
        setattr(source, name, value.strip() if isinstance(value, str) else value)
    if source.tested_on is not None and source.tested_on > today:
        raise ValidationError(
            {
                "tested_on": tell(
                    "{day} is still to come; choose an earlier day.", day=long_day(source.tested_on)
                )
            }
        )
    source.full_clean(validate_constraints=False)
    refuse_taken_name(source)
    with constraints.named(source):
        source.save()
    return source
