"""Many animals at once that get another day of birth or other parents: those that nobody rests on.

What is judged of one of them is the same whether the others are changed before it or after it.
"""

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError

from breeding.animals import revisions
from breeding.animals.away.loans import keep_loan
from breeding.animals.models import Animal, PossibleSire, SpeciesShare
from breeding.animals.parents.impossible import OnRecord
from breeding.animals.parents.parentage import Parents
from breeding.animals.queries import gestation_longest_days, parts_on_record
from breeding.animals.services import check_animal_beside, check_counts, set_facts, young_of
from breeding.program.acts.together import change_together, delete_together
from breeding.program.problems.several import read_of

CHANGED = ("born_on", "born_precision", "state_on", "sire", "dam")


@dataclass(frozen=True)
class Change:
    """Of an animal on record: its parents from now on, and what else becomes of CHANGED."""

    animal: Animal
    parents: Parents
    facts: Mapping[str, Any]


@dataclass(frozen=True)
class Changed:
    """How one stands on record, and how it will."""

    change: Change
    before: Animal
    after: Animal


def judge_changes(changes: Sequence[Change]) -> list[Changed | None]:
    """Each as `change_animal` leaves it, not written yet; None: that is for `change_animal`.

    That are those that cannot be so, that have young or several possible sires. For the caller to
    see to: none stands here twice, and none is a parent of another.
    """
    revisions.hold()
    keys = [one.animal.pk for one in changes]
    locked = Animal.every.select_for_update(of=("self",))
    kept = {one.pk: one for one in read_of(locked, "pk", keys)}
    named = [parent for one in changes for _, parent in one.parents.everyone]
    now = {one.pk: one for one in read_of(Animal.every.all(), "pk", (one.pk for one in named))}
    on_record = OnRecord(gestation_longest_days, *parts_on_record(now.values()))
    tangled = _of_several_sires(keys)
    tangled |= {parent for of_each in young_of(keys).values() for parent in of_each}

    def judged(change: Change) -> Changed | None:
        before, parents = kept[change.animal.pk], change.parents
        if before.pk in tangled or parents.possible_sires:
            return None
        after = copy(before)
        after.sire = now[parents.sire.pk] if parents.sire else None
        after.dam = now[parents.dam.pk] if parents.dam else None
        try:
            check_counts(before)
            set_facts(after, change.facts)
            check_animal_beside(after, Parents(after.sire, after.dam), None, on_record)
        except ValidationError:
            return None
        return Changed(change, before, after)

    return [judged(one) for one in changes]


def write_changes(changed: Sequence[Changed]) -> None:
    """Write what was judged in the same transaction, as `change_animal` does each."""
    if not changed:
        return
    change_together([(one.before, one.after) for one in changed], CHANGED)
    for one in changed:
        if one.before.state_on != one.after.state_on:
            keep_loan(one.after, one.before.state, one.before.state_on)
    with_parents = (one.after.pk for one in changed if one.change.parents.everyone)
    delete_together(list(read_of(SpeciesShare.objects.all(), "animal", with_parents)))
    revisions.parentage_changed()
    for one in changed:
        for column in one.after._meta.concrete_fields:
            setattr(one.change.animal, column.attname, getattr(one.after, column.attname))


def _of_several_sires(keys: Iterable[int]) -> set[int]:
    return {row.animal_id for row in read_of(PossibleSire.objects.all(), "animal", keys)}
