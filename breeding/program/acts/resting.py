"""What rests on a record: whatever else is on record that names it and counts."""

from collections.abc import Iterable, Iterator
from typing import Any

from django.db import models

from breeding.program.models import Withdrawable
from breeding.words.numbers import counted, joined

MOST_NAMED = 6


def resting_on(
    records: Iterable[models.Model], *, besides: Iterable[models.Model] = ()
) -> list[models.Model]:
    """Every record that counts and names one of these, but for these and `besides` themselves.

    A part that is never withdrawn by itself (a share of a sire, a pup's place in its litter) rests
    on nothing; one that can be (a measurement) does, unless `besides` names it.
    """
    records = list(records)
    own = {_key(one) for one in (*records, *besides)}
    found: dict[tuple[type[models.Model], Any], models.Model] = {}
    for record in records:
        for other in _naming(record):
            key = _key(other)
            if key not in own and counts(other) and not _is_only_its_own(other, record):
                found.setdefault(key, other)
    return list(found.values())


def parts_of(record: models.Model) -> list[models.Model]:
    """Every record that is a part of this one, withdrawn or not: it goes and comes back with it."""
    return [one for one in _naming(record) if whole_of(one) == record]


def whole_of(record: models.Model) -> models.Model | None:
    """The record that this one is a part of, as its model says in `part_of`."""
    name = getattr(record, "part_of", "")
    whole: models.Model | None = getattr(record, name) if name else None
    return whole


def counts(record: models.Model) -> bool:
    """Neither withdrawn itself nor a part of what is withdrawn."""
    whole = whole_of(record)
    is_out = isinstance(record, Withdrawable) and record.is_withdrawn
    return not is_out and (whole is None or counts(whole))


def _is_only_its_own(other: models.Model, record: models.Model) -> bool:
    return not isinstance(other, Withdrawable) and whole_of(other) == record


def resting_words(found: list[models.Model]) -> str:
    """They by name, the first few: "sighting “Mira: mating” and 3 more"."""
    named = [f"{one._meta.verbose_name} “{one}”" for one in found[:MOST_NAMED]]
    more = len(found) - len(named)
    return joined([*named, f"{counted(more, 'other record')}"] if more else named)


def _naming(record: models.Model) -> Iterator[models.Model]:
    for relation in record._meta.related_objects:
        if relation.one_to_one or relation.one_to_many:
            model, field = relation.related_model, relation.field
            if model._meta.label != "program.Act":
                for one in model._base_manager.filter(**{field.name: record.pk}):
                    setattr(one, field.name, record)
                    yield one


def _key(record: models.Model) -> tuple[type[models.Model], Any]:
    return type(record), record.pk
