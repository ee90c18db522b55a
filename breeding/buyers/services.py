"""Acts for buyers: contacts, and an animal kept for somebody."""

import datetime
from collections.abc import Collection, Iterable, Iterator, Sequence
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.away.bound import bound_of
from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.buyers.models import AWAY, ON_RECORD, STANDING, Contact, HandOver, Reservation
from breeding.buyers.money import check_currency
from breeding.health.holds import doubts_of_held
from breeding.litters.verdicts.deciding import decided
from breeding.program.acts.together import write_together
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.doubts import Doubt, ask
from breeding.program.problems.namesakes import Namesakes, doubts_of_namesakes, same_name
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging_in_turn,
    read_of,
    settled,
    written_of,
)
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import joined

# --------------------------------------------------------------------------------------- contacts


@transaction.atomic
def add_contact(
    *,
    by: Person | None,
    name: str,
    reach: str = "",
    wish: str = "",
    language: str = "",
    sure: Collection[str] = frozenset(),
) -> Contact:
    """Write down somebody who buys or wants to.

    Raises DoubtError, which `sure` answers, when somebody of that name is on record.
    """
    contact = Contact(name=name, reach=reach, wish=wish, language=language, recorded_by=by)
    [judged] = judge_contacts([contact])
    write_together([settled(judged, sure)])
    return contact


@transaction.atomic
def add_contacts(rows: Sequence[Contact]) -> list[Judged[Contact]]:
    """Write down all that may be; what is asked of each is for the caller."""
    judged = judge_contacts(rows)
    write_together(written_of(judged))
    return judged


def judge_contacts(rows: Sequence[Contact]) -> list[Judged[Contact]]:
    """Each beside those on record and the rows before it: one query."""
    there = Namesakes(Contact.objects.filter(ON_RECORD))

    def judge(contact: Contact) -> Iterator[Doubt]:
        for name in ("name", "reach", "wish"):
            setattr(contact, name, getattr(contact, name).strip())
        clean_of_its_own(contact)
        yield from _namesakes_among(contact, there.of(contact.name))

    return judging_in_turn(rows, judge, there.add)


@transaction.atomic
def change_contact(
    contact: Contact, *, sure: Collection[str] = frozenset(), **facts: str
) -> Contact:
    """Change name, reach, wish or language; what is not given stays.

    Raises DoubtError, which `sure` answers, when somebody else is called so.
    """
    for name in facts.keys() - {"name", "reach", "wish", "language"}:
        raise ValueError(f"A contact has no {name!r}: only name, reach, wish and language.")
    Contact.objects.select_for_update().get(pk=contact.pk)
    contact.refresh_from_db()
    check_on_record(contact)
    before = contact.name
    for name, value in facts.items():
        setattr(contact, name, value.strip())
    contact.full_clean()
    if not same_name(before, contact.name):
        ask(_namesakes_of(contact), sure)
    contact.save()
    return contact


def _namesakes_of(contact: Contact) -> Iterator[Doubt]:
    return _namesakes_among(contact, Contact.objects.filter(ON_RECORD).exclude(pk=contact.pk))


def _namesakes_among(contact: Contact, others: Iterable[Contact]) -> Iterator[Doubt]:
    return doubts_of_namesakes(
        contact.name,
        others,
        tell("A contact called {other} is on record already; is this another person?"),
        field="name",
    )


def check_on_record(contact: Contact) -> None:
    """Raise ValidationError for somebody of whom nothing new is written down."""
    if contact.is_erased:
        raise ValidationError(
            {"contact": tell("This buyer's data were erased on request; write down a new contact.")}
        )
    if contact.is_withdrawn:
        raise ValidationError(
            {
                "contact": tell(
                    "{contact} is withdrawn; bring the contact back first, or choose another.",
                    contact=contact,
                )
            }
        )


def locked_on_record(contact: Contact) -> Contact:
    """The contact as it is now; nobody withdraws or erases it until this transaction ends."""
    contact = Contact.objects.select_for_update().get(pk=contact.pk)
    check_on_record(contact)
    return contact


def locked_contacts(keys: Iterable[int | None]) -> dict[int, Contact]:
    """Those of these keys as they are now, to be asked of `check_on_record` each."""
    return {one.pk: one for one in read_of(Contact.objects.select_for_update(), "pk", keys)}


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
    sure: Collection[str] = frozenset(),
) -> Reservation:
    """Keep an animal for one person until a day, or until further notice, with its deposit.

    Raises ValidationError when it is kept for somebody already, or is not here; DoubtError, which
    `sure` answers, when it is held and cannot go now, or held back for breeding.
    """
    locked_on_record(contact)
    _check_may_be_kept(animal, on, until)
    ask(_doubts_of_keeping(animal, on), sure)
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


def _check_may_be_kept(animal: Animal, on: datetime.date, until: datetime.date | None) -> None:
    """Raise ValidationError for one that nobody can have, or that somebody else is to have."""
    if animal.state in GONE:
        raise ValidationError(
            tell(
                "{gone}; only an animal that is here or on loan can be reserved.",
                gone=gone_words(animal),
            )
        )
    if words := bound_of(animal):
        raise ValidationError(
            tell(
                "{animal} cannot be reserved: {reasons}.",
                animal=animal.name,
                reasons=joined(words),
            )
        )
    if until is not None and until < on:
        raise ValidationError(
            {
                "until": tell(
                    "{day} is past; reserve it until {least} or later.",
                    day=long_day(until),
                    least=long_day(on),
                )
            }
        )
    _check_not_kept(animal)


def _doubts_of_keeping(animal: Animal, on: datetime.date) -> Iterator[Doubt]:
    """What holds it on that day, and that it was decided to stay."""
    yield from doubts_of_held([animal], "sell", on, needs_reason=False)
    if (verdict := decided(animal)).is_withheld:
        words = tell(
            "{animal}: {verdict}. Is it to be reserved for a buyer?",
            animal=animal.name,
            verdict=verdict.words,
        )
        yield Doubt(words)


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
    reserved_on: datetime.date | None = None,
    contact: Contact | None = None,
) -> Reservation:
    """Keep it longer or shorter, note that the deposit came in, or put right a slip.

    Without a day or a contact these stay. Raises ValidationError by field.
    """
    reservation = (
        Reservation.objects.select_for_update(of=("self",))
        .select_related("animal", "contact")
        .get(pk=reservation.pk)
    )
    _check_can_be_changed(reservation, today, reserved_on, contact)
    reservation.reserved_on = reserved_on or reservation.reserved_on
    reservation.contact = contact or reservation.contact
    if until is not None and until < today and until != reservation.until:
        raise ValidationError(
            {
                "until": tell(
                    "{day} is past; reserve it until {least} or later.",
                    day=long_day(until),
                    least=long_day(today),
                )
            }
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


def _check_can_be_changed(
    reservation: Reservation,
    today: datetime.date,
    reserved_on: datetime.date | None,
    contact: Contact | None,
) -> None:
    if reservation.is_withdrawn:
        raise ValidationError(tell("This reservation is over; bring it back, or make a new one."))
    if reserved_on is not None and reserved_on > today:
        raise ValidationError(
            {
                "reserved_on": tell(
                    "{day} is still to come; today or before.", day=long_day(reserved_on)
                )
            }
        )
    if contact is None or contact.pk == reservation.contact_id:
        return
    locked_on_record(contact)
    if reservation.fulfilled_on is not None:
        raise ValidationError(
            {
                "contact": tell(
                    "It was fulfilled: {animal} went to {contact} on {day}.",
                    animal=reservation.animal.name,
                    contact=reservation.contact,
                    day=long_day(reservation.fulfilled_on),
                )
            }
        )


def _check_deposit(reservation: Reservation, today: datetime.date) -> None:
    if reservation.deposit is not None and not reservation.deposit_currency:
        raise ValidationError(
            {"deposit_currency": tell("In which currency? Three letters, like EUR.")}
        )
    paid_on = reservation.deposit_paid_on
    if paid_on is not None and reservation.deposit is None:
        raise ValidationError(
            {"deposit": tell("How much was paid on {day}?", day=long_day(paid_on))}
        )
    if paid_on is not None and paid_on > today:
        raise ValidationError(
            {
                "deposit_paid_on": tell(
                    "{day} is still to come; today or before.", day=long_day(paid_on)
                )
            }
        )


def reservation_of(animal: Animal) -> Reservation | None:
    """The reservation that stands, if there is one."""
    kept = Reservation.objects.filter(STANDING, animal=animal)
    return kept.select_related("contact", "animal").first()


def buyer_of(animal: Animal) -> Contact | None:
    """For whom it is kept, or with whom it is since it left; None for nobody."""
    if kept := reservation_of(animal):
        return kept.contact
    if animal.is_here:
        return None
    gone = HandOver.objects.filter(AWAY, animal=animal).select_related("contact").first()
    return gone.contact if gone else None


def _check_not_kept(animal: Animal) -> None:
    other = reservation_of(animal)
    if other is not None:
        raise ValidationError(_reserved_words(other))


def _reserved_words(other: Reservation) -> str:
    animal = other.animal.name
    if other.until:
        return tell(
            "{animal} is reserved for {contact} until {day}; withdraw that reservation first.",
            animal=animal,
            contact=other.contact,
            day=long_day(other.until),
        )
    return tell(
        "{animal} is reserved for {contact}; withdraw that reservation first.",
        animal=animal,
        contact=other.contact,
    )


def gone_words(animal: Animal) -> str:
    """ "Mira left on 3 November 2026", of one that is not here any more."""
    state = animal.get_state_display()
    if animal.state_on is None:
        return tell("{animal} {state}", animal=animal.name, state=state)
    day = long_day(animal.state_on)
    return tell("{animal} {state} on {day}", animal=animal.name, state=state, day=day)
