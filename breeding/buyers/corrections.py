"""Mended mistakes: contacts, reservations and hand-overs put right, withdrawn and brought back."""

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.db.models import Q

from breeding.animals.models import Animal
from breeding.animals.services import change_state
from breeding.buyers.hand_overs import check_can_go, check_price, leave
from breeding.buyers.models import Contact, HandOver, Reservation, Wish
from breeding.buyers.money import check_currency
from breeding.buyers.services import GONE, locked_on_record, reservation_of
from breeding.housing.models import Stay
from breeding.pairings.models import Pairing
from breeding.program.acts.resting import resting_on, resting_words
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.beside import at_field
from breeding.program.services import bring_back, withdraw
from breeding.words.days import long_day

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
        raise ValidationError("This buyer's data were erased; nothing is left to withdraw.")
    if found := resting_on_contact(contact):
        raise ValidationError(
            f"{contact} cannot be withdrawn: {resting_words(found)} counts. Withdraw that first."
        )
    return withdraw(contact, by=by, now=now, reason=reason)


@transaction.atomic
def bring_back_contact(contact: Contact) -> Contact:
    if contact.is_erased:
        raise ValidationError("This buyer's data were erased on request; there is nobody left.")
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
            f"It was fulfilled: {kept.animal.name} went to {kept.contact} on "
            f"{long_day(kept.fulfilled_on)}. Withdraw the hand-over instead; the reservation "
            "follows it."
        )
    return withdraw(kept, by=by, now=now, reason=reason)


@transaction.atomic
def bring_back_reservation(kept: Reservation) -> Reservation:
    """Kept for them again, if it is here and nobody else's by now. Raises ValidationError."""
    locked_on_record(kept.contact)
    if kept.animal.state in GONE:
        since = f" on {long_day(kept.animal.state_on)}" if kept.animal.state_on else ""
        raise ValidationError(
            f"{kept.animal.name} {kept.animal.get_state_display()}{since}; it cannot be kept for "
            "somebody."
        )
    if other := reservation_of(kept.animal):
        raise ValidationError(
            f"{kept.animal.name} is kept for {other.contact} by now; withdraw that reservation "
            "first."
        )
    return bring_back(kept)


# ------------------------------------------------------------------------------------- hand-overs


@transaction.atomic
def bring_back_hand_over(gone: HandOver, *, by: Person | None) -> HandOver:
    """It did leave that day: as when it was written down, with what is on record by now.

    Raises ValidationError when the animal is not here, is kept for somebody else or cannot have
    left on that day.
    """
    animal = gone.animal
    Animal.objects.select_for_update().get(pk=animal.pk)
    locked_on_record(gone.contact)
    gone.reservation = reservation_of(animal)
    check_can_go(animal, gone.contact, gone.reservation, gone.on)
    leave(gone, by=by)
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
        raise ValidationError("This hand-over is withdrawn; bring it back before it is changed.")
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
            raise ValidationError({"came_back_because": "Write down why it came back."})
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
        raise ValidationError({"on": f"{long_day(on)} is still to come."})
    if gone.came_back_on is not None and back_on is not None and not on <= back_on <= today:
        raise ValidationError(
            {
                "came_back_on": f"{long_day(back_on)} cannot be: {name} left on {long_day(on)}, "
                "and came back then or later, but not after today."
            }
        )
    born_on = gone.animal.born_on
    if born_on is not None and on < born_on:
        raise ValidationError({"on": f"{name} was born on {long_day(born_on)}; it left later."})


def _left_on_another_day(gone: HandOver, on: datetime.date) -> None:
    """The stay that ended with it, the animal's state and the reservation follow."""
    animal = gone.animal
    _check_was_free_to_leave(gone, on)
    stay = Stay.objects.filter(animal=animal, until=gone.on).order_by("-since", "-pk").first()
    if stay is not None and stay.since > on:
        raise ValidationError(
            {
                "on": f"{animal.name} is on record in {stay.place} from {long_day(stay.since)}; it "
                f"cannot have left on {long_day(on)}."
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
                "on": f"{animal.name} came back from {earlier.contact} on "
                f"{long_day(earlier.came_back_on)}; it left again then or later."
            }
        )
    together = Pairing.objects.filter(Q(male=animal) | Q(female=animal), withdrawn_at__isnull=True)
    together = together.filter(introduced_on__lte=gone.on, separated_on__gt=on)
    pairing = together.select_related("male", "female").first()
    if pairing is not None and pairing.separated_on is not None:
        other = pairing.male if pairing.female_id == animal.pk else pairing.female
        raise ValidationError(
            {
                "on": f"{animal.name} was together with {other.name} until "
                f"{long_day(pairing.separated_on)}; it left then or later."
            }
        )


def _went_to_another(gone: HandOver, contact: Contact) -> None:
    locked_on_record(contact)
    if gone.reservation is not None:
        raise ValidationError(
            {
                "contact": f"It fulfilled the reservation for {gone.reservation.contact}. Withdraw "
                "this hand-over and that reservation, and write it down anew."
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
        return (
            f"{animal.name} is on record in {stay.place} from {long_day(stay.since)}. Correct or "
            "withdraw that stay first."
        )
    until = {} if before is None else {"introduced_on__lt": before}
    pairings = Pairing.objects.filter(Q(male=animal) | Q(female=animal), withdrawn_at__isnull=True)
    if pairing := pairings.filter(introduced_on__gte=back_on, **until).first():
        on = long_day(pairing.introduced_on)
        return f"{pairing} are on record together from {on}. Withdraw that pairing first."
    until = {} if before is None else {"on__lt": before}
    others = animal.hand_overs.filter(withdrawn_at__isnull=True).exclude(pk=gone.pk)
    if other := others.filter(on__gte=back_on, **until).first():
        return f"{animal.name} went to {other.contact} on {long_day(other.on)}, so it was back."
    if before is None and (kept := reservation_of(animal)):
        return f"{animal.name} is kept for {kept.contact}; let that reservation go first."
    return ""


def _since(animal: Animal, state: str, on: datetime.date, *, field: str) -> None:
    try:
        change_state(animal, state=state, on=on, is_asked=False)
    except ValidationError as problem:
        raise at_field(problem, field) from None
