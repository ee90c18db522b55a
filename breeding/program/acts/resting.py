"""What rests on a record: whatever else is on record that names it and counts."""

from collections.abc import Iterable, Iterator
from typing import Any

from django.db import models

from breeding.program.models import Act, Withdrawable
from breeding.words.numbers import counted, joined

MOST_NAMED, AT_ONCE = 6, 500


def resting_on(
    records: Iterable[models.Model], *, besides: Iterable[models.Model] = ()
) -> list[models.Model]:
    """Every record that counts and names one of these, but for these and `besides` themselves.

    A part that has no life of its own (a share of a sire, a pup in its litter) is not told apart;
    name it in `besides`, or let the database take it along.
    """
    records = list(records)
    own = {_key(one) for one in (*records, *besides)}
    found: dict[tuple[type[models.Model], Any], models.Model] = {}
    for other in naming(records):
        is_withdrawn = isinstance(other, Withdrawable) and other.is_withdrawn
        if _key(other) not in own and not is_withdrawn:
            found.setdefault(_key(other), other)
    return list(found.values())


def naming(records: Iterable[models.Model]) -> Iterator[models.Model]:
    """Every record that names one of these, whether it counts or not; a query for each kind."""
    keys: dict[type[models.Model], list[Any]] = {}
    for record in records:
        keys.setdefault(type(record), []).append(record.pk)
    for model, named in keys.items():
        for relation in model._meta.related_objects:
            other, field = relation.related_model, relation.field
            if (relation.one_to_one or relation.one_to_many) and other is not Act:
                for begin in range(0, len(named), AT_ONCE):
                    part = named[begin : begin + AT_ONCE]
                    yield from other._base_manager.filter(**{f"{field.name}__in": part})


def resting_words(found: list[models.Model]) -> str:
    """They by name, the first few: "sighting “Mira: mating” and 3 more"."""
    named = [f"{one._meta.verbose_name} “{one}”" for one in found[:MOST_NAMED]]
    more = len(found) - len(named)
    return joined([*named, f"{counted(more, 'other record')}"] if more else named)


def _key(record: models.Model) -> tuple[type[models.Model], Any]:
    return type(record), record.pk
