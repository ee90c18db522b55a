"""Acts on tanks: moving one animal or all of a tank, and closing and opening a divider."""

import datetime
from collections.abc import Collection, Iterable, Sequence

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank, WaterSystem
from breeding.housing.queries import present_stays, stays_over
from breeding.housing.room.asking import doubts_of_room
from breeding.housing.stays import checks
from breeding.housing.stays.checks import SIDES, check_parting
from breeding.housing.stays.following import (
    Leaving,
    Meeting,
    ask_what_follows,
    asked_of_move,
)
from breeding.housing.stays.meetings import meetings_of
from breeding.housing.stays.placing import keep_reason, place, place_all
from breeding.housing.water.systems import add_system
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.beside import at_field
from breeding.program.problems.doubts import Doubt, ask, asked_with
from breeding.program.services import withdraw
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined


@transaction.atomic
def save_tank(tank: Tank, *, new_system: str = "", by: Person | None = None) -> Tank:
    """Keep a tank as it was filled in; `new_system` names the water it shares, new or not."""
    if tank.pk is None:
        tank.recorded_by = by
    if new_system:
        same = WaterSystem.objects.filter(name__iexact=new_system).first()
        tank.system = same or _new_system(new_system, by)
    with constraints.named(tank):
        tank.save()
    return tank


def _new_system(name: str, by: Person | None) -> WaterSystem:
    try:
        return add_system(by=by, name=name)
    except ValidationError as problem:
        raise at_field(problem, "new_system") from None


@transaction.atomic
def give_up_tank(tank: Tank, *, by: Person | None, now: datetime.datetime, reason: str) -> Tank:
    """It is used no more, or never was there; who was in it stays on record.

    Raises ValidationError, naming them, while somebody is in it.
    """
    inside = present_stays().filter(tank=tank).select_related("animal")
    if names := [stay.animal.name for stay in inside.order_by("animal__call_name")]:
        raise ValidationError(
            tell_many(
                "{animals} is in {tank}; move them out first.",
                "{animals} are in {tank}; move them out first.",
                len(names),
                animals=joined(names),
                tank=tank,
            )
        )
    return withdraw(tank, by=by, now=now, reason=reason)


@transaction.atomic
def move_animal(
    animal: Animal,
    tank: Tank | None,
    *,
    on: datetime.date,
    by: Person | None,
    side: str = "",
    sure: Collection[str] = frozenset(),
    reason: str = "",
) -> Stay | None:
    """Into a tank on a day, out of the one it was in; without a tank it is in none from then on.

    The day may lie before moves that are on record already: the animal then stays where it was
    moved to until the next of them, so that moves give the same stays in whatever order they are
    entered. `side` is for a tank whose divider is closed; nothing: the whole tank, or a side that
    nobody wrote down, which counts as company for both. Raises ValidationError, by field, for a
    day or a side that cannot be, a place it is in already, and an animal that is not here; and
    DoubtError for what follows from those it meets there, which `sure` answers, and `reason`
    where one is asked for; the reason is kept with the stay: the new one, else the one that ends.
    """
    if tank is not None:
        check_side(tank, side, on=on, besides=[animal])
    before = stays_over(on).filter(animal=animal).select_related("tank").first()
    came_from = {animal.pk: before.tank} if before is not None else {}
    doubts = asked_of_move(Leaving((animal,), came_from, tank, on))
    stay = place(animal, tank, on=on, by=by, side=side)
    if stay is not None:
        ask_of_stays([stay], sure, reason, doubts=doubts, asks_for_room=True)
    else:
        ask(doubts, sure, reason)
        if doubts and reason and before is not None:
            before.refresh_from_db()
            keep_reason([before], reason)
    return stay


@transaction.atomic
def go_on_staying(animal: Animal, *, ended_on: datetime.date) -> Stay | None:
    """The stay that ended on this day goes on, for an animal that did not leave after all."""
    stay = Stay.objects.filter(animal=animal, until=ended_on).order_by("-since", "-pk").first()
    if stay is not None:
        stay.until = None
        with constraints.named(stay):
            stay.save()
    return stay


@transaction.atomic
def move_everybody(
    tank: Tank,
    to: Tank | None,
    *,
    on: datetime.date,
    by: Person | None,
    side: str = "",
    sure: Collection[str] = frozenset(),
    reason: str = "",
) -> list[Stay]:
    """All who are in a tank on a day, to another tank or out of all; those who came later stay.

    Raises ValidationError when there is nobody, and for whatever stops one of them: all or none.
    """
    if to == tank:
        raise ValidationError(
            {"tank": tell("They are already in {tank}; choose another tank.", tank=tank)}
        )
    moving = stays_on(tank, on)
    if not moving:
        raise ValidationError(tell("Nobody is in {tank} on {day}.", tank=tank, day=long_day(on)))
    animals = [stay.animal for stay in moving]
    if to is not None:
        check_side(to, side, on=on, besides=animals)
    came_from = {stay.animal_id: tank for stay in moving}
    doubts = asked_of_move(Leaving(tuple(animals), came_from, to, on))
    placed = place_all(animals, to, on=on, by=by, side=side)
    stays = [stay for stay in placed if stay is not None]
    if to is not None:
        besides = _two_sides(moving, to, on)
        ask_of_stays(stays, sure, reason, besides=besides, doubts=doubts, asks_for_room=True)
    else:
        ask(doubts, sure, reason)
        if doubts and reason:
            keep_reason(list(Stay.objects.filter(pk__in=[stay.pk for stay in moving])), reason)
    return stays


@transaction.atomic
def close_divider(
    tank: Tank,
    *,
    left: Iterable[Animal],
    right: Iterable[Animal],
    on: datetime.date,
    by: Person | None,
) -> list[Stay]:
    """Part those in a tank: each is on the left or on the right from this day on.

    Raises ValidationError when the tank has no divider, it is closed on that day, an animal is
    named on both sides or on none, or one is named that is not in the tank.
    """
    sides = {Stay.Side.LEFT: list(left), Stay.Side.RIGHT: list(right)}
    inside = stays_on(tank, on)
    check_parting(tank, inside, [animal for side in SIDES for animal in sides[side]], on)
    return [
        stay
        for side in SIDES
        for stay in place_all(sides[side], tank, on=on, by=by, side=side)
        if stay is not None
    ]


@transaction.atomic
def open_divider(
    tank: Tank,
    *,
    on: datetime.date,
    by: Person | None,
    sure: Collection[str] = frozenset(),
    reason: str = "",
) -> list[Stay]:
    """Both sides are one tank again from this day on.

    Raises ValidationError when it is open, and DoubtError as moving one to the other side does.
    """
    parted = [stay for stay in stays_on(tank, on) if stay.side]
    if not parted:
        raise ValidationError(
            tell("The divider of {tank} is not closed on {day}.", tank=tank, day=long_day(on))
        )
    placed = place_all([stay.animal for stay in parted], tank, on=on, by=by)
    stays = [stay for stay in placed if stay is not None]
    ask_of_stays(stays, sure, reason, besides=_two_sides(parted, tank, on))
    return stays


# ------------------------------------------------------------------ what the acts have in common


def stays_on(tank: Tank, on: datetime.date) -> list[Stay]:
    """The stays of those who are in a tank at the end of a day, by name; the gone left out."""
    stays = stays_over(on).filter(tank=tank).select_related("animal")
    return list(stays.order_by("animal__call_name", "animal__code"))


def meeting_of(moving: Iterable[Animal], tank: Tank, side: str, on: datetime.date) -> Meeting:
    """Whom these meet when they are moved into a tank, or to a side of it: one query."""
    moving = tuple(moving)
    there = [
        stay.animal
        for stay in stays_on(tank, on)
        if stay.animal_id not in _keys(moving) and (not side or stay.side in ("", side))
    ]
    return Meeting(moving, tuple(there), tank, on)


def _two_sides(stays: Iterable[Stay], tank: Tank, on: datetime.date) -> list[Meeting]:
    """Those on both sides of a divider that meet where there is none."""
    left, right = (tuple(stay.animal for stay in stays if stay.side == side) for side in SIDES)
    return [Meeting(right, left, tank, on)]


def ask_of_stays(
    stays: Sequence[Stay],
    sure: Collection[str],
    reason: str,
    *,
    besides: Iterable[Meeting] = (),
    instead_of: Iterable[Stay] = (),
    doubts: Sequence[Doubt] = (),
    asks_for_room: bool = False,
) -> None:
    """Ask of whom those meet whose stays were just written; nothing stays written until answered.

    What was said is in `follows`, and the reason is kept with them. Those who came together have
    met before; `besides` names who has not, `instead_of` the stays whose company is no news.
    `doubts` of the move itself are asked with it; `asks_for_room`: they may come to where there
    is none for them. Raises DoubtError.
    """
    meetings = [*meetings_of(stays, instead_of=instead_of), *besides]
    doubts = [*doubts, *(doubts_of_room(stays) if asks_for_room else ())]
    with asked_with(doubts):
        said = ask_what_follows(meetings, sure, reason)
    ask(doubts, sure, reason)
    said += tuple(doubt.sentence for doubt in doubts)
    for stay in stays:
        stay.follows = said
    if said and reason:
        keep_reason(stays, reason)


def check_side(tank: Tank, side: str, *, on: datetime.date, besides: Iterable[Animal]) -> None:
    """Raise ValidationError for a side that is none, or of a divider that is not closed."""
    checks.check_side(
        tank,
        side,
        lambda: [
            (stay.animal.name, stay.side)
            for stay in stays_on(tank, on)
            if stay.animal_id not in _keys(besides)
        ],
    )


def _keys(animals: Iterable[Animal]) -> set[int]:
    return {animal.pk for animal in animals}
