"""Which rule of the database a refused row has broken, as an error on the field it is about."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import IntegrityError, models, transaction

from breeding.words.language import tell
from breeding.words.numbers import joined

_SQLITE = re.compile(r"(UNIQUE|CHECK|NOT NULL) constraint failed: (.+)")
TAKEN = "taken"  # the code of a refused value of a unique column
_SQLITE_INDEX = re.compile(r"index '(.+)'")


@dataclass(frozen=True)
class Broken:
    """What a database says of a refused row: a rule by name, or the columns of one without."""

    name: str = ""
    table: str = ""
    columns: tuple[str, ...] = ()
    is_empty: bool = False


@contextmanager
def named(instance: models.Model | None = None) -> Iterator[None]:
    """Undo what was written inside and raise ValidationError when a rule of the database stops it.

    With the instance that is being written, its values are named.
    """
    try:
        with transaction.atomic():
            yield
    except IntegrityError as error:
        raise refusal(error, instance) from None


def refusal(error: IntegrityError, instance: models.Model | None = None) -> ValidationError:
    """The rule that was broken in its own words, by field; its code is the rule's name."""
    broken = read(error)
    rules = [
        (model, rule)
        for model in apps.get_models()
        for rule in model._meta.constraints
        if _is_meant(broken, model, rule)
    ]
    if not rules and (field := _column(broken)) is not None:
        return _of_column(broken, field, instance)
    if not rules:
        if not broken.name:
            return ValidationError(
                tell("The records do not allow this: names a record that is not there.")
            )
        return ValidationError(_not_allowed([broken.name]), code=broken.name)
    if len(rules) > 1:
        return ValidationError(_not_allowed([rule.name for _, rule in rules]))
    (model, rule), = rules  # fmt: skip
    fields = _fields(rule)
    where = fields[0] if len(fields) == 1 else NON_FIELD_ERRORS
    return ValidationError({where: ValidationError(_words(model, rule), code=rule.name)})


def _not_allowed(rules: list[str]) -> str:
    quoted = [tell("“{value}”", value=one) for one in rules]
    return tell("The records do not allow this: {rules}.", rules=joined(quoted, "or"))


def names(error: ValidationError, rule: str) -> bool:
    """Whether a refusal is that of the rule of this name."""
    found = error.update_error_dict({})
    return any(one.code == rule for errors in found.values() for one in errors)


def is_taken(error: ValidationError, field: str) -> bool:
    """Whether a refusal is that of a value that stands in another row of a unique column."""
    found = error.update_error_dict({})
    return any(one.code == TAKEN for one in found.get(field, ()))


def read(error: IntegrityError) -> Broken:
    """What SQLite or PostgreSQL says; nothing known of it is an empty answer."""
    diagnosis = getattr(error.__cause__, "diag", None)
    if diagnosis is not None:
        column = diagnosis.column_name
        return Broken(
            name=diagnosis.constraint_name or "",
            table=diagnosis.table_name or "",
            columns=(column,) if column else (),
            is_empty=column is not None and diagnosis.constraint_name is None,
        )
    match = _SQLITE.search(str(error))
    if match is None:
        return Broken()
    kind, what = match.groups()
    if kind == "CHECK":
        return Broken(name=what)
    if index := _SQLITE_INDEX.fullmatch(what):
        return Broken(name=index[1])
    columns = [one.partition(".") for one in what.split(", ")]
    return Broken(
        table=columns[0][0],
        columns=tuple(column for _, _, column in columns),
        is_empty=kind == "NOT NULL",
    )


def _is_meant(broken: Broken, model: type[models.Model], rule: models.BaseConstraint) -> bool:
    if broken.name:
        return rule.name == broken.name
    if broken.is_empty or not isinstance(rule, models.UniqueConstraint) or not rule.fields:
        return False
    columns = tuple(model._meta.get_field(name).column for name in rule.fields)  # type: ignore[union-attr]
    return (model._meta.db_table, columns) == (broken.table, broken.columns)


def _column(broken: Broken) -> "models.Field[Any, Any] | None":
    """The field of a rule that has no name of ours: of a column that is unique, or never empty."""
    fields = [
        field
        for model in apps.get_models()
        if model._meta.db_table == broken.table
        for field in model._meta.local_fields
    ]
    if broken.columns:
        return next((one for one in fields if (one.column,) == broken.columns), None)
    meant = [  # PostgreSQL names it for its table and column: animals_animal_code_key
        one
        for one in fields
        if one.unique and broken.name.startswith(f"{broken.table}_{one.column}_")
    ]
    return max(meant, key=lambda one: len(one.name), default=None)


def _of_column(
    broken: Broken, field: "models.Field[Any, Any]", instance: models.Model | None
) -> ValidationError:
    label = str(field.verbose_name)
    if broken.is_empty:
        words = tell("The {field} is empty; it is needed.", field=label)
        problem = ValidationError(words, code="empty_column")
    elif isinstance(instance, field.model):
        words = tell(
            "The {field} {value} is taken.", field=label, value=getattr(instance, field.attname)
        )
        problem = ValidationError(words, code=TAKEN)
    else:
        problem = ValidationError(tell("The {field} is taken.", field=label), code=TAKEN)
    return ValidationError({field.name: problem})


def _fields(rule: models.BaseConstraint) -> list[str]:
    """The fields a rule is about."""
    if isinstance(rule, models.UniqueConstraint):
        return list(rule.fields)
    if isinstance(rule, models.CheckConstraint) and isinstance(rule.condition, models.Q):
        return sorted(set(_asked(rule.condition)))
    return []


def _asked(condition: models.Q) -> Iterator[str]:
    for child in condition.children:
        if isinstance(child, models.Q):
            yield from _asked(child)
        elif isinstance(child, tuple):
            yield str(child[0]).partition("__")[0]
            if isinstance(child[1], models.F):
                yield str(child[1].deconstruct()[1][0]).partition("__")[0]


def _words(model: type[models.Model], rule: models.BaseConstraint) -> str:
    if rule.violation_error_message != rule.default_violation_error_message:
        return str(rule.get_violation_error_message())
    if isinstance(rule, models.UniqueConstraint) and rule.fields:
        labels = [str(model._meta.get_field(name).verbose_name) for name in rule.fields]  # type: ignore[union-attr]
        return tell(
            "The same {fields} is on record already (“{rule}”).",
            fields=joined(labels),
            rule=rule.name,
        )
    return _not_allowed([rule.name])
