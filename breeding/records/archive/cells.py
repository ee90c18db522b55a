"""A value as the text of a cell, and back: exactly, and harmless in a spreadsheet."""

import datetime
import decimal
import json
import math
import re
import uuid
from fractions import Fraction
from typing import Any

from django.contrib.contenttypes.models import ContentType
from django.core.exceptions import ValidationError
from django.db import connection, models

from breeding.program.fields import ShareField
from breeding.program.lists.spreadsheets import MARK, as_it_was, harmless
from breeding.records.archive.columns import Column
from breeding.records.archive.kinds import KINDS, by_label


class CellError(ValueError):
    """What stands in a cell cannot be read; the message says what is allowed."""


# ----------------------------------------------------------------------------------- to a cell


def written(column: Column, value: Any) -> str:
    """The cell of a value: empty for nothing; a mark alone for an empty text where both can be."""
    if value is None:
        return ""
    if column.names_a_kind:
        return harmless(_file_of(value))
    field = column.stored
    if isinstance(field, models.JSONField):
        return harmless(json.dumps(value, ensure_ascii=False, sort_keys=True))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime.datetime):
        return value.astimezone(datetime.UTC).isoformat()
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, decimal.Decimal):
        return f"{value:f}"
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, int):
        return str(value)
    text = str(value)
    return MARK if not text and column.field.null else harmless(text)


def _file_of(content_type: int) -> str:
    found = ContentType.objects.get_for_id(content_type)
    label = f"{found.app_label}.{found.model}"
    names = {one.lower(): kind.name for one, kind in by_label().items()}
    return names.get(label, label)


# --------------------------------------------------------------------------------- from a cell


def read(column: Column, cell: str) -> Any:
    """The value of a cell. Raises CellError with what is allowed."""
    field = column.field
    if cell == "" and (field.null or not _is_text(column.stored)):
        if field.null:
            return None
        raise CellError("it is empty, and something must stand there")
    try:
        value = _value(column, cell)
        _hold_to(column, value)
    except ValidationError as problem:
        raise CellError(" ".join(problem.messages)) from None
    except (ValueError, ArithmeticError, RecursionError) as problem:
        if isinstance(problem, CellError):
            raise
        raise CellError(f"it is no {column.type_words}") from None
    return value


def _is_text(field: Any) -> bool:
    return isinstance(
        field, models.CharField | models.TextField | models.FileField
    ) and not isinstance(field, ShareField)


def _value(column: Column, cell: str) -> Any:
    if column.names_a_kind:
        return _content_type(as_it_was(cell))
    field = column.stored
    if isinstance(field, models.JSONField):
        return json.loads(as_it_was(cell), parse_constant=_no_number)
    if isinstance(field, models.BooleanField):
        return {"yes": True, "no": False}[cell] if cell in ("yes", "no") else _no_number(cell)
    if isinstance(field, models.DateTimeField):
        return _moment(cell)
    if isinstance(field, models.DateField):
        return datetime.date.fromisoformat(cell)
    if isinstance(field, models.FloatField):
        number = float(cell)
        return number if math.isfinite(number) else _no_number(cell)
    if isinstance(field, models.DecimalField):
        exact = decimal.Decimal(cell)
        return exact if exact.is_finite() else _no_number(cell)
    if isinstance(field, models.IntegerField):
        return int(cell) if re.fullmatch(r"-?[0-9]{1,19}", cell) else _no_number(cell)
    if isinstance(field, ShareField):
        return _share(cell)
    if isinstance(field, models.UUIDField):
        return uuid.UUID(cell)
    return as_it_was(cell)  # exactly: what is on record by now may be what nobody may type


def _no_number(cell: str) -> Any:
    raise ValueError(cell)


def _moment(cell: str) -> datetime.datetime:
    moment = datetime.datetime.fromisoformat(cell)
    if moment.tzinfo is None:
        raise CellError("it has no offset; a moment is written like 2026-03-31T18:05:00+00:00")
    return moment.astimezone(datetime.UTC)


def _share(cell: str) -> Fraction:
    share = (
        Fraction(cell) if re.fullmatch(r"[0-9]{1,20}(/[0-9]{1,20})?", cell) else _no_number(cell)
    )
    if share > 1:
        raise CellError("it is more than 1")
    return share


def _content_type(name: str) -> int:
    label = next((kind.model_label for kind in KINDS if kind.name == name), name)
    room, dot, model = label.lower().partition(".")
    if not dot or not re.fullmatch(r"[a-z_]+\.[a-z0-9_]+", f"{room}.{model}"):
        raise CellError(f"no file of an archive is called “{name}”")
    found, _ = ContentType.objects.get_or_create(app_label=room, model=model)
    return int(found.pk)


def _hold_to(column: Column, value: Any) -> None:
    """What the models say and not every database holds to: choices, lengths and ranges."""
    field = column.field
    known = {choice for choice, _ in field.flatchoices or ()} | ({""} if field.blank else set())
    if field.flatchoices and value not in known:
        raise CellError(f"allowed are {', '.join(str(one) for one, _ in field.flatchoices)}")
    if isinstance(value, str):
        if "\x00" in value:
            raise CellError("it holds a character that no text has")
        longest = getattr(field, "max_length", None)
        if longest is not None and len(value) > longest and not isinstance(field, models.TextField):
            raise CellError(f"it has {len(value)} characters; at most {longest} are allowed")
    if isinstance(value, int) and isinstance(column.stored, models.IntegerField):
        least, most = connection.ops.integer_field_range(column.stored.get_internal_type())
        if (least is not None and value < least) or (most is not None and value > most):
            raise CellError(f"it is out of range; {least} to {most} are allowed")
    if isinstance(column.field, models.DecimalField):
        field.run_validators(value)
