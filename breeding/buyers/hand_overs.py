"""An animal goes to somebody, and comes back: one act each, with the cautions said before."""

import datetime
from collections.abc import Collection, Iterable, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.models import Animal
from breeding.animals.services import change_animal, change_state
from breeding.buyers.cautions import Caution
from breeding.buyers.leaving import Leaving
from breeding.buyers.models import Contact, HandOver
from breeding.buyers.services import gone_words, reservation_of
from breeding.housing.models import Stay, Tank
from breeding.housing.services import go_on_staying, move_animal
from breeding.housing.stays.following import said_of
from breeding.program.models import Person, Program
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import Judged, settled
from breeding.program.services import withdraw
from breeding.words.days import long_day
from breeding.words.language import sentences, tell


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
    gone = HandOver(
        animal=animal, contact=contact, on=on, transport=transport, recorded_by=by, **facts
    )

    def asked(said: Sequence[Caution]) -> Iterable[Doubt]:
        if said and not has_read_cautions:
            raise ValidationError({"has_read_cautions": [one.words for one in said]})
        return ()

    leaving = Leaving([gone])
    [judged] = leaving.let_go(program=program, today=today, asked=asked, reason=reason)
    settled(judged, sure, reason)
    animal.refresh_from_db()
    return gone


@transaction.atomic
def hand_all_over(
    rows: Sequence[HandOver],
    *,
    program: Program,
    today: datetime.date,
    reason: str,
    gone_with_it: Collection[int] = (),
) -> list[Judged[HandOver]]:
    """Write down all that may be, in the order of their days, no two of one animal; the cautions
    are asked of each as doubts.

    gone_with_it: animals that are on record as gone, and were here until they were handed over.
    """

    def asked(said: Sequence[Caution]) -> Iterable[Doubt]:
        return [Doubt(one.words, "animal") for one in said]

    leaving = Leaving(rows, gone_with_it)
    return leaving.let_go(program=program, today=today, asked=asked, reason=reason)


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
