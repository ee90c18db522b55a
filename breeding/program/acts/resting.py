"""What rests on a record: whatever else is on record that names it and counts."""

from collections.abc import Iterable, Iterator, Sequence, Set
from itertools import chain
from typing import Any

from django.db import connection, models
from django.db.models.fields.reverse_related import ForeignObjectRel

from breeding.program.models import Act, Withdrawable
from breeding.program.parts import in_parts
from breeding.program.problems.several import read_of
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined

Key = tuple[type[models.Model], Any]
MOST_NAMED = 6


def resting_on(
    records: Iterable[models.Model], *, besides: Set[Key] = frozenset()
) -> list[models.Model]:
    """Every record that counts and names one of these, but for these and `besides`.

    A part that is never withdrawn by itself (a share of a sire, a pup's place in its litter) rests
    on nothing; one that can be (a measurement) does, unless `besides` names it.
    """
    records = list(records)
    return _resting(naming(records, besides=besides), records, besides)


def resting_on_wholes(records: Iterable[models.Model]) -> list[models.Model]:
    """The same of these with all of their parts, which rest on nothing."""
    records = list(records)
    named = list(naming(records))
    parts = _parts_among(named, records)
    every = chain(named, naming(parts))
    return _resting(every, [*records, *parts], keys_of(parts))


def _resting(
    found: Iterable[models.Model],
    records: Iterable[models.Model],
    besides: Set[Key],
) -> list[models.Model]:
    whole = keys_of(records)
    own = whole | besides
    resting: dict[tuple[type[models.Model], Any], models.Model] = {}
    for other in found:
        is_its_own = not isinstance(other, Withdrawable) and _key_of_whole(other) in whole
        if _key(other) not in own and not is_its_own and counts(other):
            resting.setdefault(_key(other), other)
    return list(resting.values())


def parts_of(record: models.Model) -> list[models.Model]:
    """Every record that is a part of this one, withdrawn or not: it goes and comes back with it."""
    return _parts_among(naming([record]), [record])


def _parts_among(
    named: Iterable[models.Model], records: Iterable[models.Model]
) -> list[models.Model]:
    wholes = {_key(one): one for one in records}
    parts = []
    for one in named:
        key = _key_of_whole(one)
        if key is not None and key in wholes:
            setattr(one, str(one.part_of), wholes[key])  # type: ignore[attr-defined]
            parts.append(one)
    return parts


def whole_of(record: models.Model) -> models.Model | None:
    """The record that this one is a part of, as its model says in `part_of`."""
    name = getattr(record, "part_of", "")
    whole: models.Model | None = getattr(record, name) if name else None
    return whole


def counts(record: models.Model) -> bool:
    """Neither withdrawn itself nor a part of what is withdrawn."""
    if getattr(record, "is_withdrawn", False):  # a sheet says so in its own way
        return False
    whole = whole_of(record)
    return whole is None or counts(whole)


def _key_of_whole(record: models.Model) -> tuple[Any, Any] | None:
    name = getattr(record, "part_of", "")
    if not name:
        return None
    field = record._meta.get_field(name)
    return field.related_model, getattr(record, f"{name}_id")


def naming(
    records: Iterable[models.Model],
    *,
    among: type[models.Model] = models.Model,
    besides: Set[Key] = frozenset(),
) -> Iterator[models.Model]:
    """Every record among these kinds that names one of these, whether it counts or not, but for
    those `besides`.

    One question for all kinds of records, and one more for each kind of which some do.
    """
    for relation, part in _relations_naming(records, among):
        model = relation.related_model
        found = model._base_manager.filter(**{f"{relation.field.name}__in": part})
        if besides:
            keys = found.values_list("pk", flat=True)
            others = [key for key in keys if (model, key) not in besides]
            yield from read_of(model._base_manager.all(), "pk", others)
        else:
            yield from found


def keys_naming(
    records: Iterable[models.Model],
) -> Iterator[tuple[type[models.Model], Any, Any]]:
    """Of every record that names one of these: its model, its key, and the key that it names."""
    for relation, part in _relations_naming(records, models.Model):
        model, name = relation.related_model, relation.field.attname
        found = model._base_manager.filter(**{f"{relation.field.name}__in": part})
        yield from ((model, key, named) for key, named in found.values_list("pk", name))


def _relations_naming(
    records: Iterable[models.Model], among: type[models.Model]
) -> Iterator[tuple[ForeignObjectRel, Sequence[Any]]]:
    keys: dict[type[models.Model], list[Any]] = {}
    for record in records:
        keys.setdefault(type(record), []).append(record.pk)
    for model, named in keys.items():
        relations = [
            relation
            for relation in model._meta.related_objects
            if (relation.one_to_one or relation.one_to_many) and relation.related_model is not Act
            if issubclass(relation.related_model, among)
        ]
        for part in in_parts(named):
            for relation in _used(relations, part):
                yield relation, part


def _used(relations: list[ForeignObjectRel], keys: Sequence[Any]) -> Iterator[ForeignObjectRel]:
    """Those of these relations that some row has to one of the keys."""
    if not relations:
        return
    quoted = connection.ops.quote_name
    marks = ", ".join(["%s"] * len(keys))
    questions = [
        f"SELECT {number} WHERE EXISTS (SELECT 1 FROM {quoted(one.related_model._meta.db_table)} "  # noqa: S608
        f"WHERE {quoted(str(one.field.column))} IN ({marks}))"
        for number, one in enumerate(relations)
    ]
    target = relations[0].model._meta.pk
    values = [target.get_db_prep_value(key, connection) for key in keys]
    with connection.cursor() as cursor:
        cursor.execute(" UNION ALL ".join(questions), values * len(relations))
        used = sorted(number for (number,) in cursor.fetchall())
    for number in used:
        yield relations[number]


def resting_words(found: list[models.Model]) -> str:
    """They by name, the first few: "sighting “Mira: mating” and 3 more"."""
    named = [_named(one) for one in found[:MOST_NAMED]]
    more = len(found) - len(named)
    return joined(
        [*named, tell_many("{number} other record", "{number} other records", more)]
        if more
        else named
    )


def rests_words(found: list[models.Model]) -> str:
    """ "sighting “Mira: mating” rests on it"."""
    return tell_many(
        "{records} rests on it", "{records} rest on it", len(found), records=resting_words(found)
    )


def _named(record: models.Model) -> str:
    """The kind and the name, once: “litter 26-03” says by itself what it is."""
    kind, name = str(record._meta.verbose_name), str(record)
    if name.startswith(f"{kind} "):
        return name
    return tell("{kind} “{name}”", kind=kind, name=name)


def keys_of(records: Iterable[models.Model]) -> set[Key]:
    """Of each its model and its key."""
    return {(type(one), one.pk) for one in records}


def _key(record: models.Model) -> Key:
    return type(record), record.pk
