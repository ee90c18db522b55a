"""Food, health, arrivals and loans: what is on record of animals that were dead, gone or away."""

import datetime
from collections.abc import Iterator
from itertools import groupby, pairwise

from django.core.exceptions import ValidationError
from django.db.models import F, Q
from django.utils import timezone

from breeding.animals.away.loans import Away, loans_of
from breeding.animals.models import Animal
from breeding.animals.parents.impossible import (
    after_death,
    before_birth,
    is_after_death,
    is_before_birth,
)
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.feeding.models import Feeding, Meal
from breeding.health.illness.days import check_after
from breeding.health.models import Death, Observation, Quarantine, Treatment, Visit
from breeding.housing.models import Stay
from breeding.litters.models import Verdict
from breeding.records.checking.finding import Finding, of_record
from breeding.records.checking.gathered import ROWS_AT_ONCE, Gathered
from breeding.words.days import long_day
from breeding.words.language import tell

# What is written down of an animal that is here, on a day.
_OF_ONE_HERE = (
    (Observation, "since"),
    (Treatment, "since"),
    (Visit, "on"),
    (Quarantine, "since"),
    (Quarantine, "ended_on"),
    (Verdict, "on"),
)
_LEFT = Animal.State.LEFT
OUT = LoanAgreement.Direction.OUT


def after_it_left(gathered: Gathered) -> Iterator[Finding]:
    """What is on record of an animal after it left for good."""
    for model, day in _OF_ONE_HERE:
        found = [
            (key, _after_leaving(animal, on))
            for key, on, of in gathered.columns(model, day, "animal")
            if (animal := gathered.animals.get(of)) is not None and _had_left(animal, on)
        ]
        yield from gathered.findings(model, found)


def fed_when_it_was_not_there(gathered: Gathered) -> Iterator[Finding]:
    """Meals of animals that were not born, dead, gone, or lent to somebody."""
    away = loans_of(gathered.counting)
    meals = Meal.objects.filter(feeding__withdrawn_at__isnull=True).order_by("pk")
    found = []
    for feeding, of, at in meals.values_list("feeding", "animal", "fed_at").iterator(
        chunk_size=ROWS_AT_ONCE
    ):
        animal = gathered.animals.get(of)
        if animal is not None:
            on = timezone.localdate(at)
            found += [(feeding, words) for words in _not_there(animal, on, away.get(of, []))]
    mend = tell("Put right the day of the round, or take the animal out of it.")
    yield from gathered.findings(Feeding, found, mend)


def _not_there(animal: Animal, on: datetime.date, away: list[Away]) -> Iterator[str]:
    if is_before_birth(animal, on):
        yield before_birth(animal, on)
    if is_after_death(animal, on):
        yield after_death(animal, on)
    if _had_left(animal, on):
        yield _after_leaving(animal, on)
    for days in away:
        if days.since < on and (days.until is None or on < days.until):
            yield tell(
                "{animal} was fed on {day}, when it was on loan.",
                animal=animal.full_name,
                day=long_day(on),
            )


def treatments_that_end_before_they_may(gathered: Gathered) -> Iterator[Finding]:
    """The rules of the form: the last day after the first, the hold after both."""
    for one in gathered.rows(Treatment):
        after = one.until + datetime.timedelta(days=1) if one.until else None
        for name, least in (("until", None), ("hold_until", after)):
            try:
                check_after(name, getattr(one, name), one.since, least=least)
            except ValidationError as problem:
                yield of_record(one, " ".join(problem.messages))


def quarantines_at_once(gathered: Gathered) -> Iterator[Finding]:
    """Two of one animal, said by word, that share more than a day."""
    said = [one for one in gathered.rows(Quarantine) if one.since is not None]
    for _, rows in groupby(sorted(said, key=_whose), key=_whose):
        in_order = sorted(rows, key=lambda one: (one.since, one.pk))
        for first, second in pairwise(in_order):
            since = second.since
            if since and (first.ended_on is None or first.ended_on > since):
                yield of_record(
                    second,
                    tell(
                        "{animal} has been in quarantine since {day} already, by another record.",
                        animal=second.animal.full_name,
                        day=long_day(first.since or since),
                    ),
                )


def _whose(row: Quarantine | LoanAgreement) -> int:
    return row.animal_id


def died_by_one_record_alone(gathered: Gathered) -> Iterator[Finding]:
    """How an animal died, of one that is not recorded as dead; or ill only after it died."""
    for death in gathered.rows(Death):
        animal = gathered.animals.get(death.animal_id)
        if animal is None or animal.is_withdrawn:
            continue
        if animal.state != Animal.State.DIED:
            yield of_record(
                death,
                tell(
                    "How {animal} died is told, and it is recorded as “{state}”.",
                    animal=animal.full_name,
                    state=animal.get_state_display(),
                ),
                tell("Say that it died, or withdraw how it did."),
            )
        elif death.ill_since and animal.state_on and death.ill_since > animal.state_on:
            yield of_record(
                death,
                tell(
                    "Ill since {day}, and died on {day_of_death}.",
                    day=long_day(death.ill_since),
                    day_of_death=long_day(animal.state_on),
                ),
            )


def came_after_it_was_here(gathered: Gathered) -> Iterator[Finding]:
    """Arrivals on a day on which the animal had been in a tank for longer."""
    rows = Stay.objects.filter(
        Q(until__isnull=True) | Q(until__gt=F("animal__arrivals__on")),
        since__lt=F("animal__arrivals__on"),
        withdrawn_at__isnull=True,
        animal__arrivals__withdrawn_at__isnull=True,
    )
    found = [
        (
            stay.arrival,
            tell(
                "{animal} was in {tank} since {day}, before.",
                animal=stay.animal,
                tank=stay.place,
                day=long_day(stay.since),
            ),
        )
        for stay in rows.annotate(arrival=F("animal__arrivals")).select_related("animal", "tank")
    ]
    yield from gathered.findings(Arrival, found, tell("Put right the day it came, or its stay."))


def loans_and_where_it_stands(gathered: Gathered) -> Iterator[Finding]:
    """Loans that go on of animals that stand elsewhere, and two of one animal at once."""
    rows = sorted(gathered.rows(LoanAgreement), key=lambda one: (one.animal_id, one.since, one.pk))
    for _, loans in groupby(rows, key=_whose):
        latest: LoanAgreement | None = None
        for one in loans:
            animal = gathered.animals.get(one.animal_id)
            if animal is None or animal.is_withdrawn:
                continue
            if one.back_on is None and not _stands_so(animal, one):
                yield of_record(
                    one,
                    tell(
                        "{animal} is {lent} since {day} and not back, and is recorded as "
                        "“{state}”.",
                        animal=animal.full_name,
                        lent=one.get_direction_display(),
                        day=long_day(one.since),
                        state=animal.get_state_display(),
                    ),
                    tell("Say when it was back, or where it stands."),
                )
            if latest is not None and (latest.back_on is None or latest.back_on > one.since):
                yield of_record(
                    one,
                    tell(
                        "{animal} is {lent} since {day} already, when this loan begins.",
                        animal=animal.full_name,
                        lent=latest.get_direction_display(),
                        day=long_day(latest.since),
                    ),
                )
            latest = one


def _stands_so(animal: Animal, loan: LoanAgreement) -> bool:
    """Lent out it is on loan; lent by somebody it is here, or lent on."""
    if loan.direction == OUT:
        return animal.state == Animal.State.ON_LOAN
    return animal.state in (Animal.State.HERE, Animal.State.ON_LOAN)


def _had_left(animal: Animal, on: datetime.date | None) -> bool:
    left_on = animal.state_on if animal.state == _LEFT else None
    return on is not None and left_on is not None and on > left_on


def _after_leaving(animal: Animal, on: datetime.date) -> str:
    when = long_day(animal.state_on) if animal.state_on else ""
    return tell(
        "{animal} left on {day}, before {later_day}.",
        animal=animal.full_name,
        day=when,
        later_day=long_day(on),
    )
