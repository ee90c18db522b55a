"""Every animal and what leads to its parents, read once; nothing here asks again for each row."""

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from typing import Any, TypeVar

from django.apps import apps
from django.db import models

from breeding.animals.models import Animal, PossibleSire, SpeciesShare
from breeding.program.models import Withdrawable
from breeding.records.checking.finding import Finding, of_record

ROWS_AT_ONCE = 2000
Row = TypeVar("Row", bound=models.Model)


@dataclass
class Gathered:
    """What all parts of the check look at, as of a day."""

    today: datetime.date
    animals: Mapping[int, Animal] = field(default_factory=dict)

    @cached_property
    def counting(self) -> list[Animal]:
        """The animals that were not withdrawn."""
        return [one for one in self.animals.values() if not one.is_withdrawn]

    @cached_property
    def possible_sires(self) -> Mapping[int, dict[int, Fraction]]:
        """The possible sires of an animal with their shares, by its key."""
        found: dict[int, dict[int, Fraction]] = {}
        rows = PossibleSire._base_manager.values_list("animal_id", "sire_id", "share")
        for animal, sire, share in rows.order_by("pk"):
            found.setdefault(animal, {})[sire] = share
        return found

    @cached_property
    def species_shares(self) -> Mapping[int, list[SpeciesShare]]:
        """What a founder is stated to be, by its key."""
        found: dict[int, list[SpeciesShare]] = {}
        for row in SpeciesShare._base_manager.select_related("species").order_by("pk"):
            found.setdefault(row.animal_id, []).append(row)
        return found

    def columns(self, model: type[models.Model], *names: str) -> Iterator[tuple[Any, ...]]:
        """The key of each row that counts, and these columns of it: of another record its key."""
        return _counting(model).values_list("pk", *names).iterator(chunk_size=ROWS_AT_ONCE)

    def findings(
        self, model: type[models.Model], found: list[tuple[Any, str]], mend: str = ""
    ) -> Iterator[Finding]:
        """What was found of rows, by their keys: only these are read whole."""
        records = model._base_manager.in_bulk([key for key, _ in found]) if found else {}
        for key, words in found:
            if record := records.get(key):
                yield of_record(record, words, mend)

    def rows(self, model: type[Row]) -> Iterator[Row]:
        """The rows that count, with their animals at hand: one query for each kind of record."""
        columns = [
            one
            for one in model._meta.concrete_fields
            if isinstance(one, models.ForeignKey) and one.related_model is Animal
        ]
        others = [
            one.name
            for one in model._meta.concrete_fields
            if isinstance(one, models.ForeignKey) and one not in columns and not _is_of_people(one)
        ]
        found = _counting(model)
        if others and model.clean is not models.Model.clean:
            found = found.select_related(*others)
        for row in found.iterator(chunk_size=ROWS_AT_ONCE):
            for one in columns:
                animal = self.animals.get(getattr(row, one.attname))
                if animal is not None:
                    one.set_cached_value(row, animal)
            yield row


def _counting(model: type[Row]) -> "models.QuerySet[Row]":
    """The rows that were not withdrawn, in their order."""
    rows = model._base_manager.order_by("pk")
    return rows.filter(withdrawn_at__isnull=True) if issubclass(model, Withdrawable) else rows


def _is_of_people(column: "models.ForeignKey[Any, Any]") -> bool:
    """Who wrote it: nothing here asks."""
    return column.name.endswith("_by") or column.name in ("recorded_by", "portrait")


def gather(today: datetime.date) -> Gathered:
    """All animals, those withdrawn too, with their parents at hand: one query."""
    animals = {one.pk: one for one in Animal.every.order_by("pk").iterator(chunk_size=ROWS_AT_ONCE)}
    for animal in animals.values():
        for name in ("sire", "dam"):
            parent = animals.get(getattr(animal, f"{name}_id"))
            if parent is not None:
                setattr(animal, name, parent)
    return Gathered(today, animals)


def kept_models() -> Iterator[type[models.Model]]:
    """Every kind of record, in the order of the rooms."""
    rooms = [one for one in apps.get_app_configs() if one.name.startswith("breeding.")]
    for room in rooms:
        yield from room.get_models()
