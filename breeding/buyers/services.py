"""Acts for buyers: contacts, an animal kept for somebody, and a sheet issued for good."""

import datetime
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.models import Animal
from breeding.buyers.models import STANDING, Contact, Reservation
from breeding.buyers.money import check_currency
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.words.days import long_day

GONE = (Animal.State.LEFT, Animal.State.DIED)


# --------------------------------------------------------------------------------------- contacts


@transaction.atomic
def add_contact(*, by: Person | None, name: str, reach: str = "", wish: str = "") -> Contact:
    """Write down somebody who buys or wants to."""
    contact = Contact(name=name.strip(), reach=reach.strip(), wish=wish.strip(), recorded_by=by)
    contact.full_clean()
    contact.save()
    return contact


@transaction.atomic
def change_contact(contact: Contact, **facts: str) -> Contact:
    """Change name, reach or wish; what is not given stays."""
    for name in facts.keys() - {"name", "reach", "wish"}:
        raise ValueError(f"A contact has no {name!r}: only name, reach and wish.")
    for name, value in facts.items():
        setattr(contact, name, value.strip())
    contact.full_clean()
    contact.save()
    return contact


# ------------------------------------------------------------------------------- kept for somebody


@transaction.atomic
def reserve_animal(
    animal: Animal,
    contact: Contact,
    *,
    by: Person | None,
    on: datetime.date,
    until: datetime.date | None = None,
    note: str = "",
    deposit: Decimal | None = None,
    deposit_currency: str = "",
    deposit_paid_on: datetime.date | None = None,
) -> Reservation:
    """Keep an animal for one person until a day, or until further notice, with its deposit.

    Raises ValidationError when it is kept for somebody already, or is not here.
    """
    if animal.state in GONE:
        since = f" on {long_day(animal.state_on)}" if animal.state_on else ""
        raise ValidationError(
            f"{animal.name} {animal.get_state_display()}{since}; only an animal that is here or "
            "on loan can be kept for somebody."
        )
    if until is not None and until < on:
        raise ValidationError(
            {"until": f"{long_day(until)} is past; keep it until {long_day(on)} or later."}
        )
    _check_not_kept(animal)
    reservation = Reservation(
        animal=animal,
        contact=contact,
        reserved_on=on,
        until=until,
        note=note.strip(),
        deposit=deposit,
        deposit_currency=deposit_currency if deposit is not None else "",
        deposit_paid_on=deposit_paid_on,
        recorded_by=by,
    )
    _check_deposit(reservation, on)
    reservation.full_clean(validate_constraints=False)
    check_currency(reservation.deposit_currency, field="deposit_currency")
    try:
        with constraints.named(reservation):
            reservation.save()
    except ValidationError as problem:
        if constraints.names(problem, "reservation_one_for_an_animal"):
            _check_not_kept(animal)  # by somebody else at the same moment: says for whom
        raise
    return reservation


@transaction.atomic
def change_reservation(
    reservation: Reservation,
    *,
    today: datetime.date,
    until: datetime.date | None,
    note: str = "",
    deposit: Decimal | None = None,
    deposit_currency: str = "",
    deposit_paid_on: datetime.date | None = None,
) -> Reservation:
    """Keep it longer or shorter, or note that the deposit came in. Raises ValidationError."""
    if not reservation.is_standing:
        raise ValidationError("This reservation is over; make a new one.")
    if until is not None and until < today and until != reservation.until:
        raise ValidationError(
            {"until": f"{long_day(until)} is past; keep it until {long_day(today)} or later."}
        )
    reservation.until, reservation.note = until, note.strip()
    reservation.deposit = deposit
    reservation.deposit_currency = deposit_currency if deposit is not None else ""
    reservation.deposit_paid_on = deposit_paid_on
    _check_deposit(reservation, today)
    reservation.full_clean(validate_constraints=False)
    check_currency(reservation.deposit_currency, field="deposit_currency")
    reservation.save()
    return reservation


def _check_deposit(reservation: Reservation, today: datetime.date) -> None:
    if reservation.deposit is not None and not reservation.deposit_currency:
        raise ValidationError({"deposit_currency": "In which currency? Three letters, like EUR."})
    paid_on = reservation.deposit_paid_on
    if paid_on is not None and reservation.deposit is None:
        raise ValidationError({"deposit": f"How much was paid on {long_day(paid_on)}?"})
    if paid_on is not None and paid_on > today:
        raise ValidationError({"deposit_paid_on": f"{long_day(paid_on)} is still to come."})


def reservation_of(animal: Animal) -> Reservation | None:
    """The reservation that stands, if there is one."""
    kept = Reservation.objects.filter(STANDING, animal=animal)
    return kept.select_related("contact", "animal").first()


def _check_not_kept(animal: Animal) -> None:
    other = reservation_of(animal)
    if other is not None:
        until = f" until {long_day(other.until)}" if other.until else ""
        raise ValidationError(
            f"{animal.name} is kept for {other.contact}{until}; withdraw that reservation first."
        )


# --------------------------------------------------------------------------------------- the sheet
