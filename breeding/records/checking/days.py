"""Days that cannot be: before a birth, after a death, to come; and the rules of each record."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone

from breeding.agenda.models import Reminder
from breeding.animals.models import Animal, Measurement, Photograph
from breeding.animals.parents.impossible import (
    after_death,
    before_birth,
    is_after_death,
    is_before_birth,
)
from breeding.arrivals.models import Arrival, LoanAgreement, YoungGiven
from breeding.buyers.models import HandOver, Reservation
from breeding.feeding.models import Feeding
from breeding.health.models import Death, Observation, Quarantine, Treatment, Visit
from breeding.housing.models import Look, Stay, TankWork, WaterChange, WaterTest
from breeding.litters.models import Litter, Verdict
from breeding.pairings.models import Outcome, Pairing, Scan, Sighting
from breeding.records.apps import RecordsConfig
from breeding.records.checking.finding import Finding, of_record
from breeding.records.checking.gathered import Gathered
from breeding.words.days import long_day
from breeding.words.language import tell


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
    Dated(Observation, "since", ("animal",), ("animal",)),
    Dated(Observation, "over_on"),
    Dated(Treatment, "since", ("animal",), ("animal",)),
    Dated(Visit, "on", ("animal",), ("animal",)),
    Dated(Quarantine, "since", ("animal",), ("animal",)),
    Dated(Quarantine, "ended_on", ("animal",), ("animal",)),
    Dated(Death, "ill_since", ("animal",)),
    Dated(Feeding, "fed_at"),
    Dated(WaterChange, "changed_at"),
    Dated(TankWork, "on"),
    Dated(Verdict, "on", ("animal",), ("animal",)),
    Dated(Arrival, "on", ("animal",), ("animal",)),
    Dated(LoanAgreement, "since", ("animal",), ("animal",)),
    Dated(LoanAgreement, "back_on", ("animal",), ("animal",)),
    Dated(YoungGiven, "on", ("animal",)),
    Dated(Reminder, "done_on"),
)
# What a database takes of these, a form takes too; what they point to is asked elsewhere.
_KEPT_BY_THE_DATABASE = (
    models.ForeignKey,
    models.AutoField,
    models.BooleanField,
    models.DateField,
    models.JSONField,
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
    zone = timezone.get_current_timezone()
    for dated in DATED:
        whose = tuple(dict.fromkeys((*dated.born, *dated.alive)))
        found = [
            (key, words)
            for key, at, *keys in gathered.columns(dated.model, dated.day, *whose)
            if at is not None
            for animals in (dict(zip(whose, map(gathered.animals.get, keys), strict=True)),)
            for words in _against(dated, _day(at, zone), animals, gathered.today)
        ]
        yield from gathered.findings(dated.model, found)


def _against(
    dated: Dated, on: datetime.date, whose: dict[str, Animal | None], today: datetime.date
) -> Iterator[str]:
    if on > today:
        yield _to_come(on)
    for name in dated.born:
        animal = whose[name]
        if animal is not None and is_before_birth(animal, on):
            yield before_birth(animal, on)
    for name in dated.alive:
        animal = whose[name]
        if animal is not None and is_after_death(animal, on):
            yield after_death(animal, on)


def wrong_sexes(gathered: Gathered) -> Iterator[Finding]:
    """Females and males of pairings, births and what goes with them."""
    for model, name, sex in SEXES:
        found = [
            (key, _of_another_sex(animal, sex))
            for key, of in gathered.columns(model, name)
            if (animal := gathered.animals.get(of)) is not None and animal.sex != sex
        ]
        mend = tell("Put right the sex of the animal, or choose another one here.")
        yield from gathered.findings(model, found, mend)


def _of_another_sex(animal: Animal, sex: str) -> str:
    return tell(
        "{animal} stands in it as a {sex}, and is recorded as {recorded_sex}.",
        animal=animal.full_name,
        sex=Animal.Sex(sex).label,
        recorded_sex=animal.get_sex_display(),
    )


def rules_of_each_record(gathered: Gathered) -> Iterator[Finding]:
    """What the records' own fields allow, and what each kind says of itself."""
    for model in RecordsConfig.kept_models():
        if model is Animal:
            continue  # asked with its parents
        fields = _Fields(model)
        for record in gathered.rows(model):
            for sentence in _problems(record, fields):
                yield of_record(record, sentence)


class _Fields:
    """What is asked of each field; a value that was allowed in one record is so in all."""

    def __init__(self, model: type[models.Model]) -> None:
        fields = model._meta.fields
        self.others = {one.name for one in fields if isinstance(one, _KEPT_BY_THE_DATABASE)}
        asked = [one.attname for one in fields if one.name not in self.others]
        self.allowed: dict[str, set[Any]] = {name: set() for name in asked}

    def check(self, record: models.Model) -> None:
        """Raises ValidationError."""
        held = {name: vars(record)[name] for name in self.allowed}
        if all(value in self.allowed[name] for name, value in held.items()):
            return
        record.clean_fields(exclude=self.others)
        for name, value in held.items():
            self.allowed[name].add(value)


def _problems(record: models.Model, fields: _Fields) -> Iterator[str]:
    for check in (partial(fields.check, record), record.clean):
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


def _day(at: datetime.date | datetime.datetime, zone: datetime.tzinfo) -> datetime.date:
    return at.astimezone(zone).date() if isinstance(at, datetime.datetime) else at


def _to_come(on: datetime.date) -> str:
    return tell("{day} is still to come.", day=long_day(on))
