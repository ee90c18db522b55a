"""Acts on strains: written down, and changed."""

from collections.abc import Iterator, Sequence
from typing import Any

from django.db import transaction

from breeding.animals.models import Strain
from breeding.program.acts.named import refuse_name_of, refuse_taken_name
from breeding.program.acts.together import write_together
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging,
    settled,
    written_of,
)

FACTS = ("name", "species", "description")


@transaction.atomic
def add_strain(*, by: Person | None, **facts: Any) -> Strain:
    """Write down a strain. Raises ValidationError by field."""
    _check_facts(facts)
    strain = Strain(recorded_by=by, **facts)
    [judged] = _judged([strain])
    settled(judged, ())
    with constraints.named(strain):
        write_together([strain])
    return strain


@transaction.atomic
def add_all_strains(rows: Sequence[Strain]) -> list[Judged[Strain]]:
    """Write down all that may be."""
    judged = _judged(rows)
    with constraints.named():
        write_together(written_of(judged))
    return judged


def _judged(rows: Sequence[Strain]) -> list[Judged[Strain]]:
    """Each beside those on record and the rows before it."""
    named = {one.name.casefold(): one for one in Strain.objects.all()}

    def judge(row: Strain) -> Iterator[Doubt]:
        row.name, row.description = row.name.strip(), row.description.strip()
        clean_of_its_own(row)
        refuse_name_of(named.get(row.name.casefold()))
        named[row.name.casefold()] = row
        yield from ()

    return [judging(row, judge) for row in rows]


@transaction.atomic
def change_strain(strain: Strain, **facts: Any) -> Strain:
    """Change name, species or description; what is not given stays."""
    _check_facts(facts)
    for name, value in facts.items():
        setattr(strain, name, value.strip() if isinstance(value, str) else value)
    strain.full_clean(validate_constraints=False)
    refuse_taken_name(strain)
    with constraints.named(strain):
        strain.save()
    return strain


def _check_facts(facts: dict[str, Any]) -> None:
    for name in facts.keys() - set(FACTS):
        raise ValueError(f"A strain has no {name!r}: only {', '.join(FACTS)}.")
