"""Acts on assumed kinship: what two founders are held to be to each other, and how sure it is."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals import revisions
from breeding.animals.models import Animal, AssumedKin
from breeding.animals.parents.held import Held
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.services import bring_back
from breeding.words.language import tell
from breeding.words.numbers import joined
from pedigree import contradicting_kin, kin_can_be
from pedigree.rows import exact

Degree = AssumedKin.Degree


class Belief(NamedTuple):
    """What two animals are held to be; no certainty where it is not known."""

    one: Animal
    other: Animal
    degree: str
    certainty: float | None = None
    note: str = ""


@transaction.atomic
def assume_kin(beliefs: Iterable[Belief], *, by: Person | None) -> list[AssumedKin]:
    """Write down what these pairs are held to be; of a pair on record it is changed.

    All or nothing. Raises ValidationError for one whose parents are known, and where what is
    held of three cannot all be.
    """
    revisions.hold()
    listed = list(beliefs)
    everybody = {one.pk: one for belief in listed for one in (belief.one, belief.other)}
    for animal in everybody.values():
        _check_is_founder(animal)
    on_record = _on_record(everybody)
    kept = []
    for belief in listed:
        one, other = sorted((belief.one, belief.other), key=lambda animal: animal.pk)
        record = on_record.get((one.pk, other.pk)) or AssumedKin(
            one=one, other=other, recorded_by=by
        )
        record.degree, record.note = belief.degree, belief.note.strip()
        record.certainty = None if belief.degree == Degree.UNKNOWN else belief.certainty
        _keep(record)
        kept.append(record)
    _check_all_can_be()
    revisions.parentage_changed()
    return kept


@transaction.atomic
def change_kin(
    record: AssumedKin, *, degree: str, certainty: float | None, note: str = ""
) -> AssumedKin:
    """Hold two to be something else, or be surer of it. Raises ValidationError as assume_kin."""
    revisions.hold()
    record.degree, record.note = degree, note.strip()
    record.certainty = None if degree == Degree.UNKNOWN else certainty
    _keep(record)
    _check_all_can_be()
    revisions.parentage_changed()
    return record


@transaction.atomic
def bring_back_kin(record: AssumedKin) -> None:
    """Let it count again. Raises ValidationError where the pair is answered otherwise meanwhile."""
    revisions.hold()
    for animal in (record.one, record.other):
        _check_is_founder(animal)
    with constraints.named(record):
        bring_back(record)
    _check_all_can_be()
    revisions.parentage_changed()


def check_held() -> None:
    """Raise ValidationError where what is held of three founders cannot all be."""
    _check_all_can_be()


def _on_record(animals: Mapping[int, Animal]) -> dict[tuple[int, int], AssumedKin]:
    rows = AssumedKin.objects.select_for_update().filter(one__in=animals, other__in=animals)
    return {(row.one_id, row.other_id): row for row in rows}


def _keep(record: AssumedKin) -> None:
    if record.degree != Degree.UNKNOWN and record.certainty is None:
        raise ValidationError(
            {"certainty": tell("How sure is it? A number above 0, at most 100 %.")}
        )
    record.full_clean(validate_unique=False, validate_constraints=False)
    with constraints.named(record):
        record.save()


def _check_is_founder(animal: Animal) -> None:
    possible = animal.possible_sires.exists()
    if animal.is_withdrawn:
        raise ValidationError(
            tell("{animal} is withdrawn; bring it back first.", animal=animal.name)
        )
    if animal.sire_id or animal.dam_id or possible:
        raise ValidationError(
            tell(
                "A parent of {animal} is on record, so its kin follows from that; kinship is "
                "assumed of animals alone of whose parents nothing is known.",
                animal=animal.name,
            )
        )


def _check_all_can_be() -> None:
    rows = AssumedKin.objects.exclude(degree=Degree.UNKNOWN)
    values = rows.values_list("one_id", "other_id", "degree", "certainty")
    held = [Held(one, other, degree, exact(sure)) for one, other, degree, sure in values]
    pairs = [(one.one, one.other, one.kinship) for one in held]
    if three := contradicting_kin(pairs):
        named = Animal.every.in_bulk(three)
        who = joined([named[key].name for key in sorted(three)])
        raise ValidationError(
            tell(
                "What is assumed of {names} cannot all be: siblings of one animal are siblings "
                "of each other too. Change one of the three, or be less sure.",
                names=who,
            )
        )
    if not kin_can_be(pairs):
        raise ValidationError(
            tell("What is assumed of these animals cannot all be at once; be less sure of some.")
        )
