"""Records that others name (a species, a strain, shared water): withdrawn, joined, brought back."""

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models, transaction

from breeding.program.acts.resting import resting_on, rests_words, whole_of
from breeding.program.models import Person, Withdrawable
from breeding.program.problems import constraints
from breeding.program.services import bring_back, withdraw
from breeding.words.language import message, tell
from breeding.words.stored import as_stored, stored

JOINED = stored(message("joined to {record}"))


def refuse_taken_name(record: Any, field: str = "name") -> None:
    """Raise ValidationError when another that counts is called so, letters great or small."""
    name = getattr(record, field)
    others = type(record).objects.filter(**{f"{field}__iexact": name}).exclude(pk=record.pk)
    refuse_name_of(others.first(), field)


def refuse_name_of(other: Any | None, field: str = "name") -> None:
    """Raise ValidationError where there is another that is called so."""
    if other is not None:
        raise ValidationError(
            {field: tell("“{name}” is on record already; choose another name.", name=other)}
        )


def withdraw_unless_named(
    record: Withdrawable, *, by: Person | None, now: datetime.datetime, reason: str
) -> None:
    """Withdraw what nothing names that counts. Raises ValidationError naming what does."""
    named_by = [whole_of(one) or one for one in resting_on([record])]
    if found := list(dict.fromkeys(named_by)):
        raise ValidationError(
            tell(
                "{record} cannot be withdrawn, because {why}.",
                record=record,
                why=rests_words(found),
            )
        )
    withdraw(record, by=by, now=now, reason=reason)


def bring_back_by_name(record: Any, field: str = "name") -> None:
    """Let it count again. Raises ValidationError when another has taken its name."""
    refuse_taken_name(record, field)
    with constraints.named(record):
        bring_back(record)


@transaction.atomic
def join(record: Any, into: Any, *, by: Person | None, now: datetime.datetime) -> int:
    """Give everything that names a record to another of its kind, and withdraw it. How many.

    Each of them keeps in its history what it named before. Raises ValidationError.
    """
    if record.pk == into.pk:
        raise ValidationError(
            {"into": tell("{record} is the one to be joined; choose another.", record=record)}
        )
    if into.is_withdrawn:
        raise ValidationError(
            {"into": tell("{record} is withdrawn; bring it back first.", record=into)}
        )
    moved = 0
    for relation in record._meta.related_objects:
        field: models.Field[Any, Any] = relation.field
        for one in relation.related_model._base_manager.filter(**{field.name: record}):
            setattr(one, field.name, into)
            one.save(update_fields=[field.name])
            moved += 1
    withdraw(record, by=by, now=now, reason=as_stored(JOINED, record=into))
    return moved
