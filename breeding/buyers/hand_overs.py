"""An animal goes to somebody, and comes back: one act each, with the cautions said before."""

import datetime
from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from breeding.animals.away.bound import bound_of
from breeding.animals.models import Animal
from breeding.animals.services import change_animal, change_state
from breeding.buyers.models import MOST_HOURS_ON_ONE_OXYGEN, Contact, HandOver, Reservation
from breeding.buyers.money import check_currency
from breeding.buyers.services import GONE, gone_words, locked_on_record, reservation_of
from breeding.health.holds import doubts_of_held
from breeding.housing.models import Stay, Tank
from breeding.housing.services import go_on_staying, move_animal, place
from breeding.housing.stays.following import said_of
from breeding.litters.queries import pup_reading_of
from breeding.litters.raising.leaving import not_known, unwell_of
from breeding.litters.verdicts.deciding import decided
from breeding.pairings.models import Pairing
from breeding.pairings.season.reading import season_of
from breeding.program.models import Person, Program
from breeding.program.problems.beside import at_field
from breeding.program.problems.doubts import ask
from breeding.program.reference.cautions import cautions
from breeding.program.services import withdraw
from breeding.words.chances import chance
from breeding.words.days import long_day
from breeding.words.language import sentences, tell
from breeding.words.numbers import joined

WORTH_SAYING = 0.02  # from this chance of pups on it is said before she goes; assumption


@dataclass(frozen=True)
class Caution:
    """Something to read before the animal goes, and what it rests on."""

    words: str
    source: str


def cautions_before(
    animal: Animal, program: Program, *, on: datetime.date, hours: int | None = None
) -> list[Caution]:
    """What speaks against sending this animal on that day: pregnant, not ready, too long a way."""
    found = []
    if animal.sex != Animal.Sex.MALE and (words := _pregnancy_words(animal, program, on)):
        found.append(
            Caution(words, tell("common practice, no source; the chance is worked out here"))
        )
    is_born = animal.born_on is None or animal.born_on <= on
    if is_born and (lacks := _growth_lacking(animal, on)):
        found.append(
            Caution(
                tell(
                    "{animal} is not old and large enough to leave: {lacks}.",
                    animal=animal.name,
                    lacks=joined(list(lacks)),
                ),
                tell("the species' figures; common practice, no source"),
            )
        )
    if is_born and (lacks := unwell_of(animal, asof=on)):
        found.append(
            Caution(
                tell(
                    "{animal} is not fit to leave: it lacks {lacks}.",
                    animal=animal.name,
                    lacks=joined(list(lacks)),
                ),
                tell("this program's records; the species' figures"),
            )
        )
    if is_born and (unknown := not_known([animal.pk], on).get(animal.pk)):
        found.append(
            Caution(
                tell(
                    "It is not known of {animal} {unknown}.",
                    animal=animal.name,
                    unknown=joined(list(unknown)),
                ),
                tell("this program's records; the species' figures"),
            )
        )
    if (verdict := decided(animal)).is_withheld:
        words = tell("{animal}: {verdict}.", animal=animal.name, verdict=verdict.words)
        found.append(Caution(words, tell("this program's records")))
    if hours is not None and hours > MOST_HOURS_ON_ONE_OXYGEN:
        (sentence,) = cautions()["oxygen"].sentences
        found.append(
            Caution(
                tell(
                    "{hours} hours on the way. {caution}", hours=hours, caution=tell(sentence.text)
                ),
                tell(sentence.source),
            )
        )
    return found


def _pregnancy_words(animal: Animal, program: Program, on: datetime.date) -> str:
    """Empty where no company and no sign speaks for pups."""
    est = season_of(animal, program, asof=on).estimate
    if est.chance < WORTH_SAYING:
        return ""
    due = est.announced
    if due is None:
        return tell(
            "Never ship a pregnant female. The chance that {animal} is pregnant is {chance}. "
            "Wait, or have her scanned.",
            animal=animal.name,
            chance=chance(est.chance),
        )
    return tell(
        "Never ship a pregnant female. The chance that {animal} is pregnant is {chance}, due "
        "{first} to {last} if she is. Wait, or have her scanned.",
        animal=animal.name,
        chance=chance(est.chance),
        first=long_day(due.p05),
        last=long_day(due.p95),
    )


def _growth_lacking(animal: Animal, on: datetime.date) -> tuple[str, ...]:
    """What a pup lacks in age and width alone."""
    its_own = pup_reading_of(animal, asof=on)
    return its_own.growth_lacking if its_own else ()


@transaction.atomic
def hand_over(
    animal: Animal,
    contact: Contact,
    *,
    by: Person | None,
    program: Program,
    on: datetime.date,
    today: datetime.date,
    transport: str,
    has_read_cautions: bool = False,
    sure: Collection[str] = frozenset(),
    reason: str = "",
    **facts: Any,
) -> HandOver:
    """The animal goes to somebody: it leaves, its stay ends, its reservation is fulfilled.

    `facts` are price, currency, hours_expected, packing, permit_number, source_code and note.
    Raises ValidationError by field, for an animal kept for somebody else or not here, and, unless
    `has_read_cautions`, when something speaks against sending it; and DoubtError, which `sure` and
    a reason answer, for one that is held: the reason is kept.
    """
    Animal.objects.select_for_update().get(pk=animal.pk)
    animal.refresh_from_db()
    locked_on_record(contact)
    if on > today:
        raise ValidationError(
            {"on": tell("{day} is still to come; write it down that day.", day=long_day(on))}
        )
    reservation = reservation_of(animal)
    check_can_go(animal, contact, reservation, on)
    gone = HandOver(
        animal=animal,
        contact=contact,
        reservation=reservation,
        on=on,
        transport=transport,
        recorded_by=by,
        **facts,
    )
    check_price(gone)
    gone.full_clean(validate_constraints=False)
    check_currency(gone.currency, field="currency")
    said = cautions_before(animal, program, on=on, hours=gone.hours_expected)
    if said and not has_read_cautions:
        raise ValidationError({"has_read_cautions": [one.words for one in said]})
    held = list(doubts_of_held([animal], "sell", on))
    ask(held, sure, reason)
    gone.reason = reason.strip() if held else ""
    leave(gone, by=by)
    gone.save()
    return gone


def leave(gone: HandOver, *, by: Person | None) -> None:
    """Its animal leaves: the stay ends, the reservation is fulfilled; what it was is remembered."""
    animal, on = gone.animal, gone.on
    gone.state_before, gone.state_before_on = animal.state, animal.state_on
    if Stay.objects.filter(animal=animal, until__isnull=True).exists():
        place(animal, None, on=on, by=by)
    try:
        change_state(animal, state=Animal.State.LEFT, on=on, is_asked=False)
    except ValidationError as problem:
        raise at_field(problem, "on") from None
    if gone.reservation is not None:
        gone.reservation.fulfilled_on = on
        gone.reservation.save(update_fields=["fulfilled_on"])


def check_can_go(
    animal: Animal, contact: Contact, reservation: Reservation | None, on: datetime.date
) -> None:
    if animal.state in GONE:
        raise ValidationError(
            tell(
                "{gone}; only an animal that is here or on loan can be handed over.",
                gone=gone_words(animal),
            )
        )
    if words := bound_of(animal):
        raise ValidationError(
            tell(
                "{animal} cannot be handed over: {reasons}.",
                animal=animal.name,
                reasons=joined(words),
            )
        )
    away = animal.hand_overs.filter(came_back_on__isnull=True, withdrawn_at__isnull=True).first()
    if away is not None:
        raise ValidationError(
            tell(
                "{animal} is on record as handed over to {contact} on {day}; write down there "
                "that it came back.",
                animal=animal.name,
                contact=away.contact,
                day=long_day(away.on),
            )
        )
    if reservation is not None and reservation.contact_id != contact.pk:
        raise ValidationError(
            {
                "contact": tell(
                    "{animal} is reserved for {contact}; withdraw that reservation first.",
                    animal=animal.name,
                    contact=reservation.contact,
                )
            }
        )
    if animal.born_on is not None and on < animal.born_on:
        raise ValidationError(
            {
                "on": tell(
                    "{animal} was born on {day}; it left later.",
                    animal=animal.name,
                    day=long_day(animal.born_on),
                )
            }
        )
    check_not_together(animal)
    stay = Stay.objects.filter(animal=animal, until__isnull=True).select_related("tank").first()
    if stay is not None and stay.since > on:
        raise ValidationError(
            {
                "on": tell(
                    "{animal} is in {tank} since {day}; it cannot have left on {left_on}.",
                    animal=animal.name,
                    tank=stay.tank,
                    day=long_day(stay.since),
                    left_on=long_day(on),
                )
            }
        )


def check_not_together(animal: Animal) -> None:
    """Raise ValidationError, naming the other, for one whose pairing is open."""
    pairing = (
        Pairing.objects.filter(Q(male=animal) | Q(female=animal))
        .filter(separated_on__isnull=True, withdrawn_at__isnull=True)
        .select_related("male", "female")
        .first()
    )
    if pairing is not None:
        other = pairing.male if pairing.female_id == animal.pk else pairing.female
        raise ValidationError(
            tell(
                "{animal} is together with {other}; take them apart first.",
                animal=animal.name,
                other=other.name,
            )
        )


def check_price(gone: HandOver) -> None:
    if gone.price is not None and not gone.currency:
        raise ValidationError({"currency": tell("In which currency? Three letters, like EUR.")})
    if gone.price is None:
        gone.currency = ""


@transaction.atomic
def take_back(
    gone: HandOver,
    *,
    on: datetime.date,
    today: datetime.date,
    because: str,
    by: Person | None,
    tank: Tank | None = None,
    sure: Collection[str] = frozenset(),
    reason: str = "",
) -> HandOver:
    """The animal came back and is here again; the hand-over stays readable.

    In no tank yet, unless one is named. Raises ValidationError, by field, and DoubtError for whom
    it meets there.
    """
    gone = HandOver.objects.select_for_update().select_related("animal", "contact").get(pk=gone.pk)
    animal = gone.animal
    if not gone.is_away:
        raise ValidationError(
            tell("{animal} came back already, or this was withdrawn.", animal=animal.name)
        )
    if animal.state == Animal.State.DIED:
        raise ValidationError(tell("{gone}.", gone=gone_words(animal)))
    if not gone.on <= on <= today:
        raise ValidationError(
            {
                "on": tell(
                    "{day} cannot be: it left on {left_on}, and comes back then or later, but not "
                    "after today.",
                    day=long_day(on),
                    left_on=long_day(gone.on),
                )
            }
        )
    if not because.strip():
        raise ValidationError({"because": tell("Write down why it came back.")})
    gone.came_back_on, gone.came_back_because = on, because.strip()
    gone.full_clean(validate_constraints=False)
    gone.save()
    if animal.state == Animal.State.LEFT:
        change_state(animal, state=Animal.State.HERE, on=on, sure=sure, reason=reason)
    if tank is not None:
        stay = move_animal(animal, tank, on=on, by=by, sure=sure, reason=reason)
        gone.follows = sentences(tell("It is in {tank}.", tank=tank), said_of([stay]))
    return gone


def stay_that_goes_on(gone: HandOver) -> Stay | None:
    """The stay that had ended with a hand-over and goes on, since it never was."""
    stays = Stay.objects.filter(animal=gone.animal_id, since__lte=gone.on, until__isnull=True)
    return stays.select_related("animal", "tank").first()


@transaction.atomic
def withdraw_hand_over(
    gone: HandOver, *, by: Person, now: datetime.datetime, reason: str
) -> HandOver:
    """A hand-over written down by mistake: the animal never left, and is what and where it was."""
    gone = HandOver.objects.select_for_update().select_related("animal", "contact").get(pk=gone.pk)
    animal = gone.animal
    if gone.is_withdrawn or gone.came_back_on is not None:
        raise ValidationError(
            tell(
                "{animal} came back already, or this was withdrawn before. If it never came back, "
                "take that out first: change the hand-over.",
                animal=animal.name,
            )
        )
    kept, gone.reservation = gone.reservation, None  # free for the hand-over that does happen
    withdraw(gone, by=by, now=now, reason=reason)
    if animal.state == Animal.State.LEFT and animal.state_on == gone.on:
        change_animal(animal, state=gone.state_before, state_on=gone.state_before_on)
        go_on_staying(animal, ended_on=gone.on)
    if kept is not None and reservation_of(animal) is None:
        kept.fulfilled_on = None
        kept.save(update_fields=["fulfilled_on"])
    return gone
