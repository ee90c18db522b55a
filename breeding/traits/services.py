"""Acts on traits: written down and changed; what was seen on an animal or on a litter."""

import datetime
from collections.abc import Mapping, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.models import Animal
from breeding.animals.typed.fields import check_past_day
from breeding.program.acts.named import refuse_taken_name
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
from breeding.program.services import bring_back
from breeding.traits.models import Trait, TraitLook
from breeding.words.days import long_day
from breeding.words.language import tell

Date = datetime.date
FACTS = ("name", "inheritance", "species", "certainty", "source", "founder_share", "note")


@transaction.atomic
def add_trait(*, by: Person | None, **facts: Any) -> Trait:
    """Write down a trait and how it is believed to be inherited. Raises ValidationError."""
    return change_trait(Trait(recorded_by=by), **facts)


@transaction.atomic
def change_trait(trait: Trait, **facts: Any) -> Trait:
    """Change what is believed of it; what is not given stays. All chances follow.

    Which sex has one copy of a sex-linked gene follows from its species.
    """
    for name in facts.keys() - set(FACTS):
        raise ValueError(f"A trait has no {name!r}: only {', '.join(FACTS)}.")
    for name, value in facts.items():
        setattr(trait, name, value.strip() if isinstance(value, str) else value)
    species = trait.species if trait.is_sex_linked else None
    trait.one_copy = species.one_x if species is not None else ""
    trait.full_clean(validate_constraints=False)
    refuse_taken_name(trait)
    with constraints.named(trait):
        trait.save()
    return trait


@transaction.atomic
def write_look(
    trait: Trait,
    animal: Animal,
    what: str,
    *,
    on: Date,
    today: Date,
    by: Person | None,
    looked_by: str = "",
    sure_percent: int = 100,
    note: str = "",
) -> TraitLook:
    """Write down what was seen of a trait on one animal. Raises ValidationError by field.

    What contradicts other looks is written all the same: the pages name who contradicts whom.
    """
    look = TraitLook(
        trait=trait,
        animal=animal,
        what=what,
        on=on,
        looked_by=looked_by.strip(),
        sure_percent=sure_percent,
        note=note.strip(),
        recorded_by=by,
    )
    write_together([settled(judge_look(look, today), ())])
    return look


@transaction.atomic
def write_all_looks(rows: Sequence[TraitLook], *, today: Date) -> list[Judged[TraitLook]]:
    """Write down all looks that may be, of whatever traits and animals."""
    judged = [judge_look(row, today) for row in rows]
    write_together(written_of(judged))
    return judged


def judge_look(row: TraitLook, today: Date) -> Judged[TraitLook]:
    """Whether it can have been seen; nothing is read for it."""

    def judge(row: TraitLook) -> tuple[Doubt, ...]:
        _check(row, today)
        clean_of_its_own(row)
        return ()

    return judging(row, judge)


@transaction.atomic
def write_looks(
    trait: Trait, seen: Mapping[Animal, str], *, on: Date, today: Date, by: Person | None
) -> list[TraitLook]:
    """The same of several at once, as of a litter: all or none."""
    return [
        write_look(trait, animal, what, on=on, today=today, by=by) for animal, what in seen.items()
    ]


@transaction.atomic
def change_look(look: TraitLook, *, today: Date, **facts: Any) -> TraitLook:
    """Put right what was seen, of which trait, when and by whom."""
    return _kept(look, today, **facts)


@transaction.atomic
def bring_back_look(look: TraitLook, *, today: Date) -> TraitLook:
    """It counts again. Raises ValidationError while its trait is withdrawn."""
    _check(look, today)
    return bring_back(look)


def _kept(look: TraitLook, today: Date, **facts: Any) -> TraitLook:
    for name, value in facts.items():
        setattr(look, name, value.strip() if isinstance(value, str) else value)
    _check(look, today)
    clean_of_its_own(look)
    look.save()
    return look


def _check(look: TraitLook, today: Date) -> None:
    if look.trait.is_withdrawn:
        raise ValidationError(
            {
                "trait": tell(
                    "{trait} is withdrawn; bring it back, or choose another trait.",
                    trait=look.trait,
                )
            }
        )
    try:
        check_past_day(look.on, today)
    except ValidationError as problem:
        raise ValidationError({"on": problem.messages}) from None
    born = look.animal.born_on
    if born is not None and look.on < born:
        raise ValidationError(
            {
                "on": tell(
                    "{animal} was born on {birthday}, after {day}.",
                    animal=look.animal.name,
                    birthday=long_day(born),
                    day=long_day(look.on),
                )
            }
        )
    twice, codominant = TraitLook.Seen.TWICE, Trait.Inheritance.CODOMINANT
    if look.what == twice and look.trait.inheritance != codominant:
        raise ValidationError(
            {
                "what": tell(
                    "Of {trait} nobody can see two copies; choose “shows it”, or what a test said.",
                    trait=look.trait,
                )
            }
        )
