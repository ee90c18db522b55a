"""The columns of a file: which field each holds, its name, its unit, and what may stand in it."""

import re
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from django.contrib.contenttypes.models import ContentType
from django.db import models

from breeding.program.fields import ShareField
from breeding.records.archive.kinds import by_label
from breeding.records.archive.kinds.kind import COMMON, Kind

if TYPE_CHECKING:
    Field = models.Field[Any, Any]
else:
    Field = models.Field

# What a name ends in where its numbers have a unit.
UNITS = {
    "mm": "mm",
    "g": "g",
    "c": "°C",
    "mg_l": "mg/l",
    "us_cm": "µS/cm",
    "kh_dh": "°dKH",
    "litres": "litres",
    "days": "days",
    "px": "pixels",
    "hours_expected": "hours",
}
TYPES: tuple[tuple[type[Any], str], ...] = (
    (models.BooleanField, "yes or no"),
    (models.JSONField, "JSON"),
    (models.DateTimeField, "moment, like 2026-03-31T18:05:00+00:00"),
    (models.DateField, "day, like 2026-03-31"),
    (models.FloatField, "number"),
    (models.DecimalField, "number"),
    (models.IntegerField, "whole number"),
    (ShareField, "exact share of 1, like 3/4"),
    (models.FileField, "path of a file under files/"),
)


@dataclass(frozen=True)
class Column:
    """One column of a kind of record."""

    kind: Kind
    field: Field

    @cached_property
    def name(self) -> str:
        """As in the header: what points to another row ends in _id."""
        return "of_file" if self.names_a_kind else self.field.attname

    @property
    def names_a_kind(self) -> bool:
        """Whether it points to a model and not to a row: the name of its file stands there."""
        return self.field.related_model is ContentType

    @property
    def needs_keys(self) -> bool:
        return self.kind.is_secret or self.field.name in self.kind.secret

    @property
    def type_words(self) -> str:
        if self.names_a_kind:
            return "name of a file in records/"
        kind = self.stored
        return next((words for known, words in TYPES if isinstance(kind, known)), "text")

    @cached_property
    def stored(self) -> Field:
        """The field whose values stand in the column: of another row, its key."""
        return getattr(self.field, "target_field", self.field)

    @property
    def may_be_empty(self) -> bool:
        return self.field.null or (self.field.blank and self.field.empty_strings_allowed)

    @property
    def unit(self) -> str:
        if self.type_words not in ("number", "whole number"):
            return ""
        endings = (unit for end, unit in UNITS.items() if re.search(rf"(^|_){end}$", self.name))
        return next(endings, "")

    @property
    def meaning(self) -> str:
        """In the kind's words, in those of all kinds, or in the model's own; empty: nobody said."""
        name = self.field.name
        said = self.kind.meanings.get(name)
        return said or str(self.field.help_text) or COMMON.get(name, "")

    @property
    def allowed(self) -> str:
        """The values it can have, where they are few, each with its meaning."""
        choices = self.field.flatchoices
        return "; ".join(f"{value!s} = {label}" if value != "" else f"empty = {label}"
                         for value, label in choices if value is not None)  # fmt: skip

    @property
    def points_to(self) -> str:
        """The file with the rows it points to."""
        target = self.field.related_model
        if target is None or self.names_a_kind or isinstance(target, str):
            return ""
        return by_label()[target._meta.label].file


def columns_of(kind: Kind, *, with_keys: bool = True) -> list[Column]:
    """All columns of a kind, in their order; those that need keys only where there are keys."""
    found = [Column(kind, field) for field in kind.model._meta.concrete_fields]
    return [one for one in found if with_keys or not one.needs_keys]


def named(kind: Kind) -> dict[str, Column]:
    """The columns by what stands in the header."""
    return {column.name: column for column in columns_of(kind)}
