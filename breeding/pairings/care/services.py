"""Acts around an expected birth and after it: the nursery's ticks, and her rest."""

import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q, QuerySet

from breeding.animals.away.here import check_was_here
from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.pairings.allowed import MOST_PLANNED_DAYS
from breeding.pairings.models import NurseryTick, Outcome, Rest
from breeding.pairings.services import check_day_of
from breeding.program.models import Person
from breeding.program.services import bring_back, withdraw
from breeding.words.days import long_day
from breeding.words.language import message, tell
from breeding.words.stored import stored

TICKED_ANEW = stored(message("ticked anew"))
TAKEN_BACK = stored(message("taken back on the list"))

OF_A_TANK = (NurseryTick.Item.TANK, NurseryTick.Item.CYCLED, NurseryTick.Item.DIVIDER)


@transaction.atomic
def rest_after(
    outcome: Outcome, *, until: datetime.date, by: Person | None, note: str = ""
) -> Rest:
    """How long she rests after a birth by the keeper's own word; the last word counts.

    The day of the birth itself says that she need not rest.
    """
    check_rest(outcome, until)
    rest = Rest(outcome=outcome, until=until, note=note.strip(), recorded_by=by)
    rest.full_clean()
    rest.save()
    return rest


def check_rest(outcome: Outcome, until: datetime.date) -> None:
    """Raise ValidationError when nobody can rest until this day from what ended so."""
    outcome.refresh_from_db(fields=["withdrawn_at"])
    if outcome.is_withdrawn:
        raise ValidationError(tell("This birth has been withdrawn."))
    if not outcome.is_birth:
        raise ValidationError(tell("{outcome}: that was no birth to rest from.", outcome=outcome))
    born = long_day(outcome.on)
    if until < outcome.on:
        raise ValidationError(
            {"until": tell("{day} is before the birth on {born}.", day=long_day(until), born=born)}
        )
    if (until - outcome.on).days > MOST_PLANNED_DAYS:
        raise ValidationError(
            {
                "until": tell(
                    "{day} is more than {number} days after {born}.",
                    day=long_day(until),
                    number=MOST_PLANNED_DAYS,
                    born=born,
                )
            }
        )


@transaction.atomic
def change_rest(rest: Rest, *, until: datetime.date, note: str = "") -> Rest:
    """Another day from which she may be paired again, or another note."""
    check_rest(rest.outcome, until)
    rest.until, rest.note = until, note.strip()
    rest.full_clean()
    rest.save()
    return rest


@transaction.atomic
def bring_back_rest(rest: Rest) -> Rest:
    """It counts again, unless a later word on her rest stands."""
    check_rest(rest.outcome, rest.until)
    later = rest.outcome.rests.filter(withdrawn_at__isnull=True, pk__gt=rest.pk).first()
    if later is not None:
        raise ValidationError(
            tell(
                "Since then she is meant to rest until {day}; change that instead.",
                day=long_day(later.until),
            )
        )
    return bring_back(rest)


@transaction.atomic
def choose_nursery(
    female: Animal, tank: Tank, *, on: datetime.date, by: Person | None, now: datetime.datetime
) -> NurseryTick:
    """Choose the tank for her pups; an earlier choice of this season is taken back."""
    return _tick(female, NurseryTick.Item.TANK, on=on, by=by, now=now, tank=tank)


@transaction.atomic
def tick_nursery(
    female: Animal,
    item: str,
    *,
    on: datetime.date,
    by: Person | None,
    now: datetime.datetime,
    tank: Tank | None = None,
) -> NurseryTick:
    """Tick a point of the nursery's list. Some belong to the tank that is chosen: `tank`."""
    of_the_tank = (NurseryTick.Item.CYCLED, NurseryTick.Item.DIVIDER)
    if item not in (*of_the_tank, NurseryTick.Item.FOOD, NurseryTick.Item.MALES):
        raise ValidationError(tell("“{item}” is not on the list.", item=item))
    if item in of_the_tank and tank is None:
        raise ValidationError(tell("Choose the tank first."))
    return _tick(female, item, on=on, by=by, now=now, tank=tank if item in of_the_tank else None)


def _tick(
    female: Animal,
    item: str,
    *,
    on: datetime.date,
    by: Person | None,
    now: datetime.datetime,
    tank: Tank | None,
) -> NurseryTick:
    if female.sex != Animal.Sex.FEMALE:
        raise ValidationError(tell("{female} is not recorded as a female.", female=female.name))
    check_was_here(female, on, "on")
    for earlier in standing_ticks(female, item, on):
        withdraw(earlier, by=by, now=now, reason=TICKED_ANEW)
    tick = NurseryTick(female=female, item=item, on=on, tank=tank, recorded_by=by)
    tick.full_clean()
    tick.save()
    return tick


def standing_ticks(female: Animal, item: str, on: datetime.date) -> QuerySet[NurseryTick]:
    """The ticks of this point that count on a day for the birth expected then."""
    standing = NurseryTick.objects.filter(
        female=female, item=item, withdrawn_at__isnull=True, outcome__isnull=True
    )
    last = female.outcomes.filter(withdrawn_at__isnull=True, on__lte=on).order_by("on", "pk").last()
    if last is not None:
        standing = standing.filter(Q(on__gt=last.on) | Q(recorded_at__gt=last.recorded_at))
    return standing


@transaction.atomic
def tick_apart(outcome: Outcome, *, on: datetime.date, by: Person | None) -> NurseryTick:
    """After a birth: pups and males are apart. Ticked twice it stays as it was."""
    outcome.refresh_from_db(fields=["withdrawn_at"])
    if outcome.is_withdrawn or not outcome.is_birth:
        raise ValidationError(tell("{outcome}: that is no birth that counts.", outcome=outcome))
    if on < outcome.on:
        raise ValidationError(
            {
                "on": tell(
                    "{day} is before the birth on {born}.",
                    day=long_day(on),
                    born=long_day(outcome.on),
                )
            }
        )
    item = NurseryTick.Item.APART
    standing = outcome.nursery_ticks.filter(item=item, withdrawn_at__isnull=True).first()
    if standing is not None:
        return standing
    tick = NurseryTick(female=outcome.female, item=item, on=on, outcome=outcome, recorded_by=by)
    tick.full_clean()
    tick.save()
    return tick


@transaction.atomic
def change_tick(
    tick: NurseryTick, *, on: datetime.date, today: datetime.date, tank: Tank | None = None
) -> NurseryTick:
    """Another day of a tick, or another tank that it was about."""
    check_day_of(tick.female, on, today)
    if tick.outcome is not None and on < tick.outcome.on:
        born = long_day(tick.outcome.on)
        raise ValidationError(
            {"on": tell("{day} is before the birth on {born}.", day=long_day(on), born=born)}
        )
    if tick.item in OF_A_TANK and tank is None:
        raise ValidationError({"tank": tell("Name the tank that it is about.")})
    tick.on, tick.tank = on, tank if tick.item in OF_A_TANK else None
    tick.full_clean()
    tick.save()
    return tick


@transaction.atomic
def bring_back_tick(tick: NurseryTick, *, today: datetime.date) -> NurseryTick:
    """It counts again, unless it was ticked anew since."""
    check_day_of(tick.female, tick.on, today)
    check_not_ticked_anew(tick)
    return bring_back(tick)


def check_not_ticked_anew(tick: NurseryTick) -> None:
    """Raise ValidationError when another tick of the same point counts, or its birth does not."""
    if tick.outcome is not None:
        if tick.outcome.is_withdrawn:
            raise ValidationError(tell("The birth that it belongs to has been withdrawn."))
        standing = tick.outcome.nursery_ticks.filter(item=tick.item, withdrawn_at__isnull=True)
    else:
        standing = standing_ticks(tick.female, tick.item, tick.on)
    if (anew := standing.exclude(pk=tick.pk).first()) is not None:
        named = {"item": tick.get_item_display(), "day": long_day(anew.on)}
        if anew.tank:
            raise ValidationError(
                tell(
                    "“{item}” was ticked again on {day} ({tank}); take that back first.",
                    **named,
                    tank=anew.tank,
                )
            )
        raise ValidationError(
            tell("“{item}” was ticked again on {day}; take that back first.", **named)
        )
