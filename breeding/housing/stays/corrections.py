"""Old news and mended mistakes: an earlier stay entered late, a stay corrected or withdrawn."""

import datetime
from collections.abc import Collection, Iterable

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.services import ask_of_stays, check_side
from breeding.housing.stays.checks import check_day, check_in_use, in_the_way_words
from breeding.housing.stays.giving_way import with_days
from breeding.housing.stays.meetings import meetings_of
from breeding.housing.stays.placing import insert, locked_stays, spell_of
from breeding.housing.stays.timeline import Spell
from breeding.program.models import Person
from breeding.program.services import bring_back, withdraw
from breeding.words.days import long_day
from breeding.words.language import message, tell
from breeding.words.stored import as_stored, stored

FOLLOWS = stored(message("follows a correction: {reason}"))


@transaction.atomic
def record_earlier_stay(
    animal: Animal,
    tank: Tank,
    *,
    since: datetime.date,
    until: datetime.date,
    by: Person | None,
    side: str = "",
    sure: Collection[str] = frozenset(),
    sure_reason: str = "",
) -> Stay:
    """Written down late: it was in this tank from a day to a day; stays around it give way.

    A stay on record that reaches into these days ends or begins with them, and one that lasts on
    both sides of them is split. Raises ValidationError, by field, for days that cannot be, and
    naming every stay that lies within these days or is in the same place; and DoubtError for
    whom it met there.
    """
    check_days(animal, since, until)
    check_side(tank, side, on=since, besides=[animal])
    spell = Spell(since, until, (tank.pk, side))
    stay = insert(animal, locked_stays(animal), spell, by=by)
    ask_of_stays([stay], sure, sure_reason)
    return stay


@transaction.atomic
def correct_stay(
    stay: Stay,
    *,
    since: datetime.date,
    until: datetime.date | None,
    reason: str,
    by: Person | None,
    now: datetime.datetime,
    tank: Tank | None = None,
    side: str | None = None,
    neighbours_follow: bool = True,
    sure: Collection[str] = frozenset(),
    sure_reason: str = "",
) -> Stay:
    """Write a stay anew with other days, tank or side; the old one is kept with the reason.

    With `neighbours_follow`, the stay before that ended on the day this one began, and the one
    after that began on the day it ended, move their day along. Without an end it lasts until now.
    Raises ValidationError, by field, naming whatever is in the way, and DoubtError for whom it met
    by the new days or place alone, its neighbours' new days among them; nothing is written then.
    """
    animal = stay.animal
    check_days(animal, since, until)
    stay, others = _as_it_is_now(stay)
    new_tank, new_side = tank or stay.tank, stay.side if side is None else side
    check_side(new_tank, new_side, on=since, besides=[animal])
    if until is None:
        check_in_use(new_tank)
    if (since, until, new_tank, new_side) == (stay.since, stay.until, stay.tank, stay.side):
        raise ValidationError(tell("Nothing is different; change a day, the tank or the side."))
    withdraw(stay, by=by, now=now, reason=reason)
    along = _let_neighbours_follow(others, stay, since, until, by, now) if neighbours_follow else []
    new = with_days(stay, since, until)
    new.tank, new.side, new.recorded_by = new_tank, new_side, by
    moved = [now_so for _, now_so in along]
    check_nothing_in_the_way(new, [*others, *moved])
    new.save()
    _check_written_anew(moved, [*others, new])
    met = [one for was, now_so in along for one in meetings_of([now_so], instead_of=[was])]
    ask_of_stays([new], sure, sure_reason, instead_of=[stay], besides=met)
    return new


@transaction.atomic
def withdraw_stay(
    stay: Stay,
    *,
    reason: str,
    by: Person | None,
    now: datetime.datetime,
    back_to_previous: bool = False,
) -> Stay | None:
    """It never was there. With `back_to_previous` the stay before goes on in its stead.

    Returns that longer stay, if any. Raises ValidationError without a reason, and when there is
    no stay that ended on the day this one began.
    """
    stay, others = _as_it_is_now(stay)
    withdraw(stay, by=by, now=now, reason=reason)
    if not back_to_previous:
        return None
    previous = previous_of(stay, others)
    if previous is None:
        raise ValidationError(
            tell(
                "No stay of {animal} ended on {day}, so none can go on.",
                animal=stay.animal.name,
                day=long_day(stay.since),
            )
        )
    longer = _write_anew(previous, previous.since, stay.until, by, now, reason)
    _check_written_anew([longer], others)
    return longer


def withdrawn_with(stay: Stay) -> list[Stay]:
    """The other stays of its animal that were withdrawn at the same moment: written anew."""
    same = Stay.every.filter(animal=stay.animal_id, withdrawn_at=stay.withdrawn_at)
    return list(same.exclude(pk=stay.pk).select_related("animal"))


def went_on_instead(stay: Stay) -> Stay | None:
    """The stay before one that was withdrawn, where it goes on in its stead."""
    shorter = withdrawn_with(stay)
    if not shorter:
        return None
    beginning = {one.since for one in shorter}
    going_on = Stay.objects.filter(animal=stay.animal_id, since__in=beginning)
    return going_on.select_related("animal", "tank").last()


@transaction.atomic
def bring_back_stay(stay: Stay) -> Stay:
    """It was there after all: a withdrawn stay counts again.

    Raises ValidationError, naming it, when the animal is on record elsewhere in these days by
    now, as after a correction; and when it was not born yet, or gone, or the tank is given up.
    """
    others = locked_stays(stay.animal)
    check_days(stay.animal, stay.since, stay.until)
    if stay.until is None:
        check_in_use(stay.tank)
    check_nothing_in_the_way(stay, others.values())
    return bring_back(stay)


def check_nothing_in_the_way(stay: Stay, others: Iterable[Stay]) -> None:
    """Raise ValidationError naming every stay that counts and shares its time."""
    in_the_way = [
        other
        for other in others
        if not other.is_withdrawn
        and other.pk != stay.pk
        and spell_of(other).shares_time_with(spell_of(stay))
    ]
    if in_the_way:
        raise ValidationError([in_the_way_words(stay.animal, other) for other in in_the_way])


def previous_of(stay: Stay, stays: list[Stay]) -> Stay | None:
    """The stay that ended on the day this one began: the one it moved out of."""
    ended = [one for one in stays if one.pk != stay.pk and one.until == stay.since]
    ended = [one for one in ended if _in_turn(one) < _in_turn(stay)]
    return max(ended, key=_in_turn, default=None)


def _in_turn(stay: Stay) -> tuple[datetime.date, datetime.date, int]:
    """Where it stands among its animal's stays: one of a single day comes before one that lasts.

    By its days, not by when it was written down: who was somewhere for an hour on the day of a
    move was there before it came to where it stayed.
    """
    return stay.since, stay.until or datetime.date.max, stay.pk


def _as_it_is_now(stay: Stay) -> tuple[Stay, list[Stay]]:
    """The stay as it is in the database, and the animal's others; nobody else moves it now."""
    stays = locked_stays(stay.animal)
    if stay.pk not in stays:
        raise ValidationError(tell("This stay has been withdrawn or corrected already."))
    return stays.pop(stay.pk), list(stays.values())


def _let_neighbours_follow(
    stays: list[Stay],
    stay: Stay,
    since: datetime.date,
    until: datetime.date | None,
    by: Person | None,
    now: datetime.datetime,
) -> list[tuple[Stay, Stay]]:
    """Move the days of the stays around one along with it; each as it was and as it is anew."""
    written = []
    reason = as_stored(FOLLOWS, reason=stay.withdrawn_reason)
    before = previous_of(stay, stays)
    if before is not None and since != stay.since and before.since <= since:
        written.append((before, _write_anew(before, before.since, since, by, now, reason)))
    following = [one for one in stays if one.since == stay.until and one != before]
    after = min(following, key=_in_turn, default=None)
    if after is not None and until is not None and until != stay.until:
        if after.until is not None and until > after.until:
            return written  # it would vanish: said as being in the way
        written.append((after, _write_anew(after, until, after.until, by, now, reason)))
    return written


def _check_written_anew(written: Iterable[Stay], others: Iterable[Stay]) -> None:
    """Raise ValidationError where a stay that got other days now shares them with another."""
    for stay in written:
        check_nothing_in_the_way(stay, others)


def _write_anew(
    stay: Stay,
    since: datetime.date,
    until: datetime.date | None,
    by: Person | None,
    now: datetime.datetime,
    reason: str,
) -> Stay:
    """The same stay with other days; the old one is withdrawn, so both stay readable."""
    withdraw(stay, by=by, now=now, reason=reason)
    new = with_days(stay, since, until)
    new.recorded_by = by
    new.save()
    return new


def check_days(animal: Animal, since: datetime.date, until: datetime.date | None) -> None:
    """Raise ValidationError, by field, for days on which it cannot have been there."""
    check_day(animal, since, field="since")
    if until is not None and until < since:
        raise ValidationError(
            {
                "until": tell(
                    "{day} is before {since}; a stay ends after it began.",
                    day=long_day(until),
                    since=long_day(since),
                )
            }
        )
    last = until or since
    if animal.state in GONE and animal.state_on is not None and last > animal.state_on:
        raise ValidationError(
            {
                "until" if until else "since": tell(
                    "{animal} {state} on {gone}, before {day}; choose an earlier day.",
                    animal=animal.name,
                    state=animal.get_state_display(),
                    gone=long_day(animal.state_on),
                    day=long_day(last),
                )
            }
        )
