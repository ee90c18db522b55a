"""A row in every kind of record: what `everything()` leaves empty, by the type of field."""

import datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.contrib.contenttypes.models import ContentType
from django.db import connection, models
from django.db.models import sql

from breeding.program.fields import ShareField
from breeding.records.archive.kinds import KINDS
from breeding.records.archive.kinds.kind import Kind
from tests.everything import everything

MOMENT = datetime.datetime(2026, 3, 29, 0, 59, 59, 999999, tzinfo=datetime.UTC)


def every_kind() -> None:
    """One of everything, and one of the rest."""
    everything()
    for kind in KINDS:
        if not kind.model._base_manager.exists():
            _insert(kind)


def _insert(kind: Kind) -> None:
    fields = [field for field in kind.model._meta.concrete_fields if not field.primary_key]
    row = kind.model(**{field.attname: _value(field, place) for place, field in enumerate(fields)})
    query = sql.InsertQuery(kind.model)
    query.insert_values(fields, [row], raw=True)
    query.get_compiler(connection=connection).execute_sql()


def _value(field: Any, place: int) -> Any:
    if field.related_model is ContentType:
        return ContentType.objects.get_for_model(KINDS[0].model).pk
    if field.related_model is not None:
        if field.null and field.related_model is field.model:
            return None
        keys = list(field.related_model._base_manager.values_list("pk", flat=True))
        return keys[place % len(keys)]  # a sire is not the animal itself
    if field.flatchoices:
        return field.flatchoices[0][0]
    if field.has_default() and field.unique:
        return field.get_default()
    return next(value for kind, value in VALUES if isinstance(field, kind))


VALUES: tuple[tuple[type, Any], ...] = (
    (models.BooleanField, True),
    (models.JSONField, {"=1": [None, "é\r\n", 2]}),
    (models.DateTimeField, MOMENT),
    (models.DateField, MOMENT.date()),
    (models.FloatField, 0.1),
    (models.DecimalField, Decimal("1.5")),
    (models.IntegerField, 2),
    (models.FileField, ""),
    (ShareField, Fraction(1, 3)),
    (models.UUIDField, None),
    (models.GenericIPAddressField, "127.0.0.1"),
    (models.Field, "=1"),
)
