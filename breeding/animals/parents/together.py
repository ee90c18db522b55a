"""Many animals at once that get another day of birth or other parents.

What is judged of one of them is the same whether the others are changed before it or after it.
"""

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from django.core.exceptions import ValidationError

from breeding.animals import lineage, revisions
from breeding.animals.away.loans import keep_loan
from breeding.animals.models import Animal, PossibleSire, SpeciesShare
from breeding.animals.parents.impossible import OnRecord
from breeding.animals.parents.parentage import Parents
from breeding.animals.queries import gestation_longest_days, parts_on_record
from breeding.animals.services import (
    check_animal_beside,
    check_as_parent_of,
    check_counts,
    set_facts,
    young_of,
)
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

    That are those that cannot be so, whose parent or young is changed as well, and that get other
    possible sires than are on record. For the caller to see to: none stands here twice.
    """
    revisions.hold()
    keys = [one.animal.pk for one in changes]
    locked = Animal.every.select_for_update(of=("self",))
    kept = {one.pk: one for one in read_of(locked, "pk", keys)}
    named = [parent for one in changes for _, parent in one.parents.everyone]
    now = {one.pk: one for one in read_of(Animal.every.all(), "pk", (one.pk for one in named))}
    on_record = OnRecord(gestation_longest_days, *parts_on_record(now.values()))
    young, possible = young_of(keys), _possible_sires(keys)
    changing = set(keys)

    def judged(change: Change) -> Changed | None:
        before, parents = kept[change.animal.pk], change.parents.among(now)
        its_young = {one.pk for of_each in young.values() for one in of_each.get(before.pk, ())}
        if changing & {*its_young, *(one.pk for _, one in parents.everyone)}:
            return None
        shares = {sire.pk: share for sire, share in parents.possible_sires}
        if shares and shares != possible.get(before.pk):
            return None
        after, beside = copy(before), on_record
        after.sire, after.dam = parents.sire, parents.dam
        if its_young:
            beside = replace(on_record, descendants=lineage.descendants(before.pk))
        try:
            check_counts(before)
            set_facts(after, change.facts)
            check_as_parent_of(after, young)
            check_animal_beside(after, parents, None, beside)
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
    settled = (one.after.pk for one in changed if not one.change.parents.possible_sires)
    named = PossibleSire.objects.select_related("sire")  # the history says who it was
    delete_together(list(read_of(named, "animal", settled)))
    with_parents = (one.after.pk for one in changed if one.change.parents.everyone)
    delete_together(list(read_of(SpeciesShare.objects.all(), "animal", with_parents)))
    revisions.parentage_changed()
    for one in changed:
        for column in one.after._meta.concrete_fields:
            setattr(one.change.animal, column.attname, getattr(one.after, column.attname))


def _possible_sires(keys: Iterable[int]) -> dict[int, dict[int, Fraction]]:
    """The share of each of them, by the animal that is their young or not."""
    found: dict[int, dict[int, Fraction]] = {}
    for row in read_of(PossibleSire.objects.all(), "animal", keys):
        found.setdefault(row.animal_id, {})[row.sire_id] = row.share
    return found
