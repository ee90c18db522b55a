"""Days that cannot be: before a birth, after a death, to come; and the rules of each record."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone

from breeding.animals.impossible import (
    after_death,
    before_birth,
    is_after_death,
    is_before_birth,
)
from breeding.animals.models import Animal, Measurement, Photograph
from breeding.buyers.models import HandOver, Reservation
from breeding.housing.models import Look, Stay, WaterTest
from breeding.litters.models import Litter
from breeding.pairings.models import Outcome, Pairing, Scan, Sighting
from breeding.records.apps import RecordsConfig
from breeding.records.checking.finding import Finding, of_record
from breeding.records.checking.gathered import Gathered
from breeding.words.days import long_day


@dataclass(frozen=True)
class Dated:
    """A day on a record, and the animals that were born by then, and lived."""

    model: type[models.Model]
    day: str
    born: tuple[str, ...] = ()
    alive: tuple[str, ...] = ()


DATED = (
    Dated(Measurement, "on", ("animal",), ("animal",)),
    Dated(Photograph, "taken_on"),
    Dated(Stay, "since", ("animal",), ("animal",)),
    Dated(Look, "on"),
    Dated(WaterTest, "tested_at"),
    Dated(Pairing, "introduced_on", ("female", "male"), ("female", "male")),
    Dated(Pairing, "separated_on", ("female", "male")),
    Dated(Sighting, "seen_at", ("female", "male"), ("female", "male")),
    Dated(Scan, "on", ("female",), ("female",)),
    Dated(Outcome, "on", ("female",), ()),
    Dated(Litter, "born_on", ("dam",), ()),
    Dated(HandOver, "on", ("animal",), ()),
    Dated(Reservation, "reserved_on"),
)
# Who is said to be a female, and a male.
SEXES = (
    (Pairing, "female", Animal.Sex.FEMALE),
    (Pairing, "male", Animal.Sex.MALE),
    (Sighting, "male", Animal.Sex.MALE),
    (Scan, "female", Animal.Sex.FEMALE),
    (Outcome, "female", Animal.Sex.FEMALE),
    (Litter, "dam", Animal.Sex.FEMALE),
)


def impossible_days(gathered: Gathered) -> Iterator[Finding]:
    """Each day of each record against the lives of its animals and against today."""
    for animal in gathered.counting:
        for on in (animal.born_on, animal.state_on):
            if on is not None and on > gathered.today:
                yield of_record(animal, _to_come(on))
    for dated in DATED:
        for record in gathered.rows(dated.model):
            on = _day(getattr(record, dated.day))
            if on is not None:
                yield from (
                    of_record(record, words) for words in _against(record, dated, on, gathered)
                )


def _against(
    record: models.Model, dated: Dated, on: datetime.date, gathered: Gathered
) -> Iterator[str]:
    if on > gathered.today:
        yield _to_come(on)
    for name in dated.born:
        animal = _animal(record, name, gathered)
        if animal is not None and is_before_birth(animal, on):
            yield before_birth(animal, on)
    for name in dated.alive:
        animal = _animal(record, name, gathered)
        if animal is not None and is_after_death(animal, on):
            yield after_death(animal, on)


def wrong_sexes(gathered: Gathered) -> Iterator[Finding]:
    """Females and males of pairings, births and what goes with them."""
    for model, name, sex in SEXES:
        for record in gathered.rows(model):
            animal = _animal(record, name, gathered)
            if animal is not None and animal.sex != sex:
                word = Animal.Sex(sex).label
                yield of_record(
                    record,
                    f"{animal.full_name} stands in it as a {word}, and is recorded as "
                    f"{animal.get_sex_display()}.",
                    f"Put right the sex of {animal.name}, or choose another animal here.",
                )


def rules_of_each_record(gathered: Gathered) -> Iterator[Finding]:
    """What the records' own fields allow, and what each kind says of itself."""
    for model in RecordsConfig.kept_models():
        if model is Animal:
            continue  # asked with its parents
        others = {one.name for one in model._meta.fields if one.is_relation}
        for record in gathered.rows(model):
            for sentence in _problems(record, others):
                yield of_record(record, sentence)


def _problems(record: models.Model, others: set[str]) -> Iterator[str]:
    def by_field() -> None:
        record.clean_fields(exclude=others)

    for check in (by_field, record.clean):
        try:
            check()
        except ValidationError as problem:
            for where, sentences in problem.update_error_dict({}).items():
                named = "" if where == "__all__" else f"{_label(record, where)}: "
                yield from (f"{named}{one}" for error in sentences for one in error.messages)
        except models.ObjectDoesNotExist:
            continue  # what it points to is gone, and is told of elsewhere


def _label(record: models.Model, name: str) -> str:
    return str(getattr(record._meta.get_field(name), "verbose_name", name))


def _animal(record: models.Model, name: str, gathered: Gathered) -> Animal | None:
    return gathered.animals.get(getattr(record, f"{name}_id") or 0)


def _day(at: datetime.date | datetime.datetime | None) -> datetime.date | None:
    return timezone.localdate(at) if isinstance(at, datetime.datetime) else at


def _to_come(on: datetime.date) -> str:
    return f"{long_day(on)} is still to come."
