"""Mended mistakes: contacts, reservations and hand-overs put right, withdrawn and brought back."""

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.db.models import Q

from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.animals.services import change_state
from breeding.buyers.leaving import Leaving, check_price
from breeding.buyers.models import Contact, HandOver, Reservation, Wish
from breeding.buyers.money import check_currency
from breeding.buyers.services import gone_words, locked_on_record, reservation_of
from breeding.housing.models import Stay
from breeding.pairings.models import Pairing
from breeding.program.acts.resting import resting_on, resting_words
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.beside import at_field
from breeding.program.services import bring_back, withdraw
from breeding.words.days import long_day
from breeding.words.language import tell

# --------------------------------------------------------------------------------------- contacts


def resting_on_contact(contact: Contact) -> list[models.Model]:
    """Whatever counts and names them: wishes, animals kept and gone to them, sheets."""
    return resting_on([contact])


@transaction.atomic
def withdraw_contact(
    contact: Contact, *, by: Person, now: datetime.datetime, reason: str
) -> Contact:
    """A contact written down twice or by a slip. Raises ValidationError naming what rests on it."""
    if contact.is_erased:
        raise ValidationError(tell("This buyer's data were erased; nothing is left to withdraw."))
    if found := resting_on_contact(contact):
        raise ValidationError(
            tell(
                "{contact} cannot be withdrawn: {records} counts. Withdraw that first.",
                contact=contact,
                records=resting_words(found),
            )
        )
    return withdraw(contact, by=by, now=now, reason=reason)


@transaction.atomic
def bring_back_contact(contact: Contact) -> Contact:
    if contact.is_erased:
        raise ValidationError(
            tell("This buyer's data were erased on request; there is nobody left.")
        )
    return bring_back(contact)


@transaction.atomic
def bring_back_wish(wish: Wish) -> Wish:
    """On the list again, at its old place."""
    locked_on_record(wish.contact)
    return bring_back(wish)


# ----------------------------------------------------------------------------------- reservations


@transaction.atomic
def withdraw_reservation(
    kept: Reservation, *, by: Person, now: datetime.datetime, reason: str
) -> Reservation:
    """The animal is free for others. Raises ValidationError for one that a hand-over fulfilled."""
    if kept.fulfilled_on is not None and not kept.is_withdrawn:
        raise ValidationError(
            tell(
                "It was fulfilled: {animal} went to {contact} on {day}. Withdraw the hand-over "
                "instead; the reservation follows it.",
                animal=kept.animal.name,
                contact=kept.contact,
                day=long_day(kept.fulfilled_on),
            )
        )
    return withdraw(kept, by=by, now=now, reason=reason)


@transaction.atomic
def bring_back_reservation(kept: Reservation) -> Reservation:
    """Kept for them again, if it is here and nobody else's by now. Raises ValidationError."""
    locked_on_record(kept.contact)
    if kept.animal.state in GONE:
        raise ValidationError(tell("{gone}; it cannot be reserved.", gone=gone_words(kept.animal)))
    if other := reservation_of(kept.animal):
        raise ValidationError(
            tell(
                "{animal} is reserved for {contact} by now; withdraw that reservation first.",
                animal=kept.animal.name,
                contact=other.contact,
            )
        )
    return bring_back(kept)


# ------------------------------------------------------------------------------------- hand-overs


@transaction.atomic
def bring_back_hand_over(gone: HandOver) -> HandOver:
    """It did leave that day: as when it was written down, with what is on record by now.

    Raises ValidationError when the animal is not here, is kept for somebody else or cannot have
    left on that day.
    """
    Leaving([gone]).leave_again(gone)
    return bring_back(gone)


@transaction.atomic
def change_hand_over(
    gone: HandOver,
    *,
    today: datetime.date,
    contact: Contact,
    on: datetime.date,
    came_back_on: datetime.date | None = None,
    came_back_because: str = "",
    **facts: Any,
) -> HandOver:
    """Put right what was written down of it; stay, state and reservation follow its days.

    Of one that came back, no `came_back_on` takes the coming back out: it is away again. `facts`
    are those of a hand-over. Raises ValidationError by field; nothing is written then.
    """
    Animal.objects.select_for_update().get(pk=gone.animal_id)
    if gone.is_withdrawn:
        raise ValidationError(
            tell("This hand-over is withdrawn; bring it back before it is changed.")
        )
    _check_days(gone, on, came_back_on, today)
    if on != gone.on:
        _left_on_another_day(gone, on)
    if contact.pk != gone.contact_id:
        _went_to_another(gone, contact)
    if gone.came_back_on is not None and came_back_on != gone.came_back_on:
        _came_back_on_another_day(gone, came_back_on)
    if gone.came_back_on is not None:
        gone.came_back_because = came_back_because.strip()
        if not gone.came_back_because:
            raise ValidationError({"came_back_because": tell("Write down why it came back.")})
    for name, value in facts.items():
        setattr(gone, name, value)
    check_price(gone)
    gone.full_clean(validate_constraints=False)
    check_currency(gone.currency, field="currency")
    with constraints.named(gone):
        gone.save()
    return gone


def _check_days(
    gone: HandOver, on: datetime.date, back_on: datetime.date | None, today: datetime.date
) -> None:
    name = gone.animal.name
    if on > today:
        raise ValidationError(
            {"on": tell("{day} is still to come; today or before.", day=long_day(on))}
        )
    if gone.came_back_on is not None and back_on is not None and not on <= back_on <= today:
        raise ValidationError(
            {
                "came_back_on": tell(
                    "{day} cannot be: {animal} left on {left_on}, and came back then or later, but "
                    "not after today.",
                    day=long_day(back_on),
                    animal=name,
                    left_on=long_day(on),
                )
            }
        )
    born_on = gone.animal.born_on
    if born_on is not None and on < born_on:
        raise ValidationError(
            {
                "on": tell(
                    "{animal} was born on {day}; it left later.", animal=name, day=long_day(born_on)
                )
            }
        )


def _left_on_another_day(gone: HandOver, on: datetime.date) -> None:
    """The stay that ended with it, the animal's state and the reservation follow."""
    animal = gone.animal
    _check_was_free_to_leave(gone, on)
    stay = Stay.objects.filter(animal=animal, until=gone.on).order_by("-since", "-pk").first()
    if stay is not None and stay.since > on:
        raise ValidationError(
            {
                "on": tell(
                    "{animal} is on record in {place} from {day}; it cannot have left on "
                    "{left_on}.",
                    animal=animal.name,
                    place=stay.place,
                    day=long_day(stay.since),
                    left_on=long_day(on),
                )
            }
        )
    if stay is not None:
        stay.until = on
        with constraints.named(stay):
            stay.save()
    if animal.state == Animal.State.LEFT and animal.state_on == gone.on:
        _since(animal, Animal.State.LEFT, on, field="on")
    if gone.reservation is not None:
        gone.reservation.fulfilled_on = on
        gone.reservation.save(update_fields=["fulfilled_on"])
    gone.on = on


def _check_was_free_to_leave(gone: HandOver, on: datetime.date) -> None:
    """Neither back from the buyer before, nor apart from a mate, only after that day."""
    animal = gone.animal
    before = animal.hand_overs.filter(withdrawn_at__isnull=True, on__lte=gone.on, pk__lt=gone.pk)
    earlier = before.filter(came_back_on__gt=on).first()
    if earlier is not None and earlier.came_back_on is not None:
        raise ValidationError(
            {
                "on": tell(
                    "{animal} came back from {contact} on {day}; it left again then or later.",
                    animal=animal.name,
                    contact=earlier.contact,
                    day=long_day(earlier.came_back_on),
                )
            }
        )
    together = Pairing.objects.filter(Q(male=animal) | Q(female=animal), withdrawn_at__isnull=True)
    together = together.filter(introduced_on__lte=gone.on, separated_on__gt=on)
    pairing = together.select_related("male", "female").first()
    if pairing is not None and pairing.separated_on is not None:
        other = pairing.male if pairing.female_id == animal.pk else pairing.female
        raise ValidationError(
            {
                "on": tell(
                    "{animal} was together with {other} until {day}; it left then or later.",
                    animal=animal.name,
                    other=other.name,
                    day=long_day(pairing.separated_on),
                )
            }
        )


def _went_to_another(gone: HandOver, contact: Contact) -> None:
    locked_on_record(contact)
    if gone.reservation is not None:
        raise ValidationError(
            {
                "contact": tell(
                    "It fulfilled the reservation for {contact}. Withdraw this hand-over and that "
                    "reservation, and write it down anew.",
                    contact=gone.reservation.contact,
                )
            }
        )
    gone.contact = contact


def _came_back_on_another_day(gone: HandOver, back_on: datetime.date | None) -> None:
    """What was written down of it since the day it came back stays in the way of a later day."""
    animal, was_back_on = gone.animal, gone.came_back_on
    assert was_back_on is not None  # noqa: S101 - asked by who calls it
    if in_the_way := _since_it_came_back(gone, was_back_on, before=back_on):
        raise ValidationError({"came_back_on": in_the_way})
    if animal.state == Animal.State.HERE and animal.state_on == was_back_on:
        if back_on is None:
            _since(animal, Animal.State.LEFT, gone.on, field="came_back_on")
        else:
            _since(animal, Animal.State.HERE, back_on, field="came_back_on")
    gone.came_back_on = back_on
    if back_on is None:
        gone.came_back_because = ""


def _since_it_came_back(
    gone: HandOver, back_on: datetime.date, *, before: datetime.date | None
) -> str:
    """The first thing on record of it here between two days, in words; empty for nothing."""
    animal = gone.animal
    until: dict[str, Any] = {} if before is None else {"since__lt": before}
    if stay := Stay.objects.filter(animal=animal, since__gte=back_on, **until).first():
        return tell(
            "{animal} is on record in {place} from {day}. Correct or withdraw that stay first.",
            animal=animal.name,
            place=stay.place,
            day=long_day(stay.since),
        )
    until = {} if before is None else {"introduced_on__lt": before}
    pairings = Pairing.objects.filter(Q(male=animal) | Q(female=animal), withdrawn_at__isnull=True)
    if pairing := pairings.filter(introduced_on__gte=back_on, **until).first():
        on = long_day(pairing.introduced_on)
        return tell(
            "{pairing} are on record together from {day}. Withdraw that pairing first.",
            pairing=pairing,
            day=on,
        )
    until = {} if before is None else {"on__lt": before}
    others = animal.hand_overs.filter(withdrawn_at__isnull=True).exclude(pk=gone.pk)
    if other := others.filter(on__gte=back_on, **until).first():
        return tell(
            "{animal} went to {contact} on {day}, so it was back.",
            animal=animal.name,
            contact=other.contact,
            day=long_day(other.on),
        )
    if before is None and (kept := reservation_of(animal)):
        return tell(
            "{animal} is reserved for {contact}; let that reservation go first.",
            animal=animal.name,
            contact=kept.contact,
        )
    return ""


def _since(animal: Animal, state: str, on: datetime.date, *, field: str) -> None:
    try:
        change_state(animal, state=state, on=on, is_asked=False)
    except ValidationError as problem:
        raise at_field(problem, field) from None
