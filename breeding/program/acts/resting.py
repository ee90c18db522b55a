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

    A part that has no life of its own (a share of a sire, a pup in its litter) is not told apart;
    name it in `besides`, or let the database take it along.
    """
    own = {_key(one) for one in (*records, *besides)}
    found: dict[tuple[type[models.Model], Any], models.Model] = {}
    for record in records:
        for other in _naming(record):
            key = _key(other)
            if key not in own and not (isinstance(other, Withdrawable) and other.is_withdrawn):
                found.setdefault(key, other)
    return list(found.values())


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
                yield from model._base_manager.filter(**{field.name: record.pk})


def _key(record: models.Model) -> tuple[type[models.Model], Any]:
    return type(record), record.pk
