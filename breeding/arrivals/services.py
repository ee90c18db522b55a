"""Acts on arrivals: somebody new came, one or several at once, or how one on record came."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals import revisions
from breeding.animals.bulk import NewAnimal, RefusedError
from breeding.animals.doubts.names import doubts_of_call_name
from breeding.animals.models import Animal, Species
from breeding.animals.services import register_animals
from breeding.animals.typed.fields import check_past_day
from breeding.arrivals.models import Arrival
from breeding.buyers.models import Contact
from breeding.buyers.money import check_currency
from breeding.buyers.services import check_on_record, locked_contacts, locked_on_record
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.housing.stays.following import said_of
from breeding.pairings.services import record_scan
from breeding.program.acts.together import write_together
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.beside import at_field
from breeding.program.problems.doubts import Doubt, ask
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging,
    read_of,
    settled,
    written_of,
)
from breeding.program.services import bring_back
from breeding.words.days import long_day
from breeding.words.language import message, tell
from breeding.words.stored import stored

SCAN_WHEN_SHE_CAME = stored(message("a scan when she came"))

CENT = Decimal("0.01")


@dataclass(frozen=True)
class Newcomer:
    """One of those that came, as far as somebody knows it."""

    call_name: str = ""
    sex: str = Animal.Sex.UNKNOWN
    species: Species | None = None
    markings: str = ""
    price: Decimal | None = None
    pregnant: str = ""


@transaction.atomic
def somebody_came(
    newcomers: Sequence[Newcomer],
    *,
    by: Person | None,
    on: datetime.date,
    today: datetime.date,
    contact: Contact | None,
    origin: str = Animal.Origin.BRED_ELSEWHERE,
    country: str = "",
    price_together: Decimal | None = None,
    currency: str = "",
    papers: str = "",
    note: str = "",
    tank: Tank | None = None,
    sure: Collection[str] = frozenset(),
    reason: str = "",
) -> list[Arrival]:
    """Write down animals that came on one day from one seller, each with how it came.

    A price for all together is divided among those without one of their own, to the cent. Raises
    ValidationError by field, and DoubtError, which `sure` answers, for names and for whom they
    meet in the tank.
    """
    _check(newcomers, contact, on, today)
    ask([doubt for one in newcomers for doubt in doubts_of_call_name(one.call_name)], sure)
    animals = _register(newcomers, by=by, on=on, origin=origin, country=country)
    prices = divided(price_together, [one.price for one in newcomers])
    arrivals = []
    for animal, one, price in zip(animals, newcomers, prices, strict=True):
        arrival = Arrival(
            animal=animal,
            on=on,
            contact=contact,
            price=price,
            currency=currency if price is not None else "",
            papers=papers.strip(),
            pregnant=one.pregnant,
            note=note.strip(),
            recorded_by=by,
        )
        _save(arrival)
        _scan(arrival, today=today, by=by)
        arrivals.append(arrival)
    settle(arrivals, tank, by=by, sure=sure, reason=reason)
    revisions.parentage_changed()
    return arrivals


@transaction.atomic
def write_how_it_came(
    animal: Animal,
    *,
    by: Person | None,
    today: datetime.date,
    contact: Contact | None,
    sure: Collection[str] = frozenset(),
    **facts: Any,
) -> Arrival:
    """How an animal on record came. `facts`: on, price, currency, papers, pregnant, note.

    Raises ValidationError by field, and DoubtError, which `sure` answers, where it was here before.
    """
    arrival = Arrival(animal=animal, contact=contact, recorded_by=by, **facts)
    [judged] = judge_arrivals([arrival], today)
    settled(judged, sure)
    with constraints.named(arrival):
        write_together([arrival])
    _scan(arrival, today=today, by=by)
    revisions.parentage_changed()
    return arrival


@transaction.atomic
def write_how_all_came(rows: Sequence[Arrival], *, today: datetime.date) -> list[Judged[Arrival]]:
    """Write down all that may be, but for one with a scan, which is an act of its own."""
    judged = judge_arrivals(rows, today)
    with constraints.named():
        write_together(written_of(judged))
    revisions.parentage_changed()
    return judged


def judge_arrivals(rows: Sequence[Arrival], today: datetime.date) -> list[Judged[Arrival]]:
    """Each beside the stays of its animal; nobody else changes their contacts meanwhile."""
    contacts = locked_contacts(row.contact_id for row in rows)
    stays: dict[int, list[Stay]] = defaultdict(list)
    in_tanks = Stay.objects.select_related("tank").order_by("since", "pk")
    for stay in read_of(in_tanks, "animal", (row.animal_id for row in rows)):
        stays[stay.animal_id].append(stay)

    def judge(row: Arrival) -> Iterator[Doubt]:
        if row.contact_id is not None:
            check_on_record(contacts[row.contact_id])
        if row.animal.is_withdrawn:
            raise ValidationError(
                tell("{animal} is withdrawn; bring it back first.", animal=row.animal.name)
            )
        _check_arrival(row, today)
        yield from _doubts_of_day(row, stays[row.animal_id])
        _check_facts(row)
        clean_of_its_own(row)
        check_currency(row.currency, field="currency")

    return [judging(row, judge) for row in rows]


def _doubts_of_day(arrival: Arrival, stays: Iterable[Stay]) -> Iterator[Doubt]:
    """It was in a tank before the day it came, and still then. stays: its own, the first first."""
    on = arrival.on
    before = (one for one in stays if one.since < on and (one.until is None or one.until > on))
    if (stay := next(before, None)) is not None:
        yield Doubt(
            tell(
                "{animal} was in {place} since {day} by its stays, and would have come on "
                "{came_on}.",
                animal=arrival.animal.name,
                place=stay.place,
                day=long_day(stay.since),
                came_on=long_day(on),
            ),
            "on",
        )


@transaction.atomic
def change_arrival(
    arrival: Arrival, *, today: datetime.date, contact: Contact | None, **facts: Any
) -> Arrival:
    """Put right from whom, when, for what and with which papers it came."""
    if contact is not None and contact.pk != arrival.contact_id:
        locked_on_record(contact)
    arrival.contact = contact
    for name, value in facts.items():
        setattr(arrival, name, value)
    _check_arrival(arrival, today)
    _save(arrival)
    revisions.parentage_changed()
    return arrival


@transaction.atomic
def bring_back_arrival(arrival: Arrival) -> None:
    """Let it count again. Raises ValidationError where another stands for that day."""
    with constraints.named(arrival):
        bring_back(arrival)
    revisions.parentage_changed()


def divided(together: Decimal | None, prices: Sequence[Decimal | None]) -> list[Decimal | None]:
    """The price of each: its own, or its part of what was paid for the others together.

    >>> divided(Decimal(100), [None, None, None])
    [Decimal('33.34'), Decimal('33.33'), Decimal('33.33')]
    >>> divided(None, [Decimal(20), None])
    [Decimal('20'), None]
    """
    without = [at for at, price in enumerate(prices) if price is None]
    found = list(prices)
    if together is None or not without:
        return found
    cents = int(together / CENT)
    each, over = divmod(cents, len(without))
    for place, at in enumerate(without):
        found[at] = (each + (place < over)) * CENT
    return found


def settle(
    arrivals: Sequence[Arrival],
    tank: Tank | None,
    *,
    by: Person | None,
    sure: Collection[str] = frozenset(),
    reason: str = "",
) -> None:
    """Into a tank on the day they came, as any move: whom they meet there is asked."""
    if tank is None:
        return
    for arrival in arrivals:
        stay = move_animal(arrival.animal, tank, on=arrival.on, by=by, sure=sure, reason=reason)
        arrival.follows = said_of([stay])


def _check(
    newcomers: Sequence[Newcomer],
    contact: Contact | None,
    on: datetime.date,
    today: datetime.date,
) -> None:
    if not newcomers:
        raise ValidationError(tell("Who came? Say at least one thing of one animal."))
    if len(newcomers) > 1 and contact is None:
        raise ValidationError(
            {"contact": tell("From whom did they come? Those of one seller may be kin.")}
        )
    if contact is not None:
        locked_on_record(contact)
    _check_day(on, today)


def _check_day(on: datetime.date, today: datetime.date) -> None:
    try:
        check_past_day(on, today)
    except ValidationError as problem:
        raise at_field(problem, "on") from None


def _register(
    newcomers: Sequence[Newcomer],
    *,
    by: Person | None,
    on: datetime.date,
    origin: str,
    country: str,
) -> list[Animal]:
    rows = [
        NewAnimal(
            key=key,
            code="",
            facts={
                "call_name": one.call_name.strip(),
                "sex": one.sex,
                "markings": one.markings.strip(),
                "origin": origin,
                "country": country.strip(),
                "state": Animal.State.HERE,
                "state_on": on,
            },
            sire=None,
            dam=None,
            possible_sires=(),
            species_shares={one.species: Fraction(1)} if one.species else None,
        )
        for key, one in enumerate(newcomers, start=1)
    ]
    try:
        found = register_animals(rows, by=by)
    except RefusedError as problem:
        (first, *_) = problem.refusals
        raise ValidationError({f"{first.field}_{first.keys[0]}": first.error}) from None
    return [found[row.key] for row in rows]


def _check_arrival(arrival: Arrival, today: datetime.date) -> None:
    _check_day(arrival.on, today)
    born = arrival.animal.born_on
    if born is not None and arrival.on < born:
        raise ValidationError(
            {
                "on": tell(
                    "{animal} was born on {day}; it came then or later.",
                    animal=arrival.animal.name,
                    day=long_day(born),
                )
            }
        )


def _check_facts(arrival: Arrival) -> None:
    """What it cost, and whether she can have been pregnant."""
    if arrival.price is None:
        arrival.currency = ""
    elif not arrival.currency:
        raise ValidationError({"currency": tell("In which currency? Three letters, like EUR.")})
    is_pregnant = arrival.pregnant in (Arrival.Pregnant.YES, Arrival.Pregnant.SCAN)
    if is_pregnant and arrival.animal.sex != Animal.Sex.FEMALE:
        raise ValidationError(
            {"pregnant": tell("{animal} is not recorded as a female.", animal=arrival.animal.name)}
        )


def _save(arrival: Arrival) -> None:
    _check_facts(arrival)
    arrival.full_clean(validate_unique=False, validate_constraints=False)
    check_currency(arrival.currency, field="currency")
    with constraints.named(arrival):
        arrival.save()


def _scan(arrival: Arrival, *, today: datetime.date, by: Person | None) -> None:
    """Pups that a scan showed are a scan: her season follows from it, as from any other."""
    if arrival.pregnant == Arrival.Pregnant.SCAN:
        record_scan(
            female=arrival.animal,
            on=arrival.on,
            positive=True,
            today=today,
            by=by,
            note=SCAN_WHEN_SHE_CAME,
        )
