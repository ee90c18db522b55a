"""Looking at a tank: ticking off that all were looked at, and on which days that was so."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from breeding.housing.models import Look, Stay, Tank
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.services import bring_back
from breeding.words.days import long_day
from breeding.words.language import tell

Date = datetime.date
DAY = datetime.timedelta(days=1)
SHOWN = 7


@transaction.atomic
def record_look(tank: Tank, *, on: Date, today: Date, by: Person | None) -> tuple[Look, bool]:
    """All in a tank were looked at on a day and there was nothing to see; once a day is enough.

    The look, and whether it is new. Raises ValidationError for a day to come and for a tank in
    which nobody was.
    """
    _check_day(on, today)
    Tank.every.select_for_update().get(pk=tank.pk)
    standing = Look.objects.filter(tank=tank, on=on, withdrawn_at__isnull=True).first()
    if standing is not None:
        return standing, False
    _check_somebody_there(tank, on)
    return Look.objects.create(tank=tank, on=on, recorded_by=by), True


@transaction.atomic
def change_look(look: Look, *, tank: Tank, on: Date, today: Date) -> Look:
    """It was another tank, or another day."""
    _check_day(on, today)
    _check_somebody_there(tank, on)
    look.tank, look.on = tank, on
    with constraints.named(look):
        look.save()
    return look


@transaction.atomic
def bring_back_look(look: Look) -> Look:
    """It counts again, unless nobody was there by now, or the same was ticked off again since."""
    _check_somebody_there(look.tank, look.on)
    return bring_back(look)


def _check_day(on: Date, today: Date) -> None:
    if on > today:
        raise ValidationError(
            {"on": tell("{day} is still to come; choose today or earlier.", day=long_day(on))}
        )


def _check_somebody_there(tank: Tank, on: Date) -> None:
    there = Stay.objects.filter(tank=tank, since__lte=on).exclude(until__lt=on)
    if not there.exists():
        raise ValidationError(
            tell(
                "Nobody was in {tank} on {day}; there was nobody to see.",
                tank=tank,
                day=long_day(on),
            )
        )


def looks_of(tank: Tank, *, most: int = SHOWN) -> tuple[list[Look], list[Look]]:
    """The latest looks at a tank that count, and the latest that were withdrawn: one query."""
    own = Look.objects.filter(tank=tank)
    counting, withdrawn = (
        own.filter(withdrawn_at__isnull=counts).values("pk")[:most] for counts in (True, False)
    )
    latest = own.filter(Q(pk__in=counting) | Q(pk__in=withdrawn))
    found = list(latest.select_related("recorded_by", "withdrawn_by", "tank"))
    return (
        [one for one in found if not one.is_withdrawn],
        [one for one in found if one.is_withdrawn],
    )


def looked_at(tanks: Iterable[Tank], on: Date) -> set[int]:
    """The keys of those tanks that were looked at on a day: one query."""
    found = Look.objects.filter(tank__in=list(tanks), on=on, withdrawn_at__isnull=True)
    return set(found.values_list("tank", flat=True))


def days_looked_at(animals: Collection[int]) -> dict[int, set[Date]]:
    """For each of these animals the days on which its tank was ticked off: at most two queries.

    The day of a move counts by both tanks.
    """
    rows = Stay.objects.filter(animal__in=animals)
    stays = list(rows.values_list("animal", "tank", "since", "until"))
    found: dict[int, set[Date]] = defaultdict(set)
    if not stays:
        return found
    looks: dict[int, list[Date]] = defaultdict(list)
    first = min(since for _, _, since, _ in stays)
    counting = Look.objects.filter(withdrawn_at__isnull=True, on__gte=first)
    at = counting.filter(tank__in={tank for _, tank, _, _ in stays})
    for tank, on in at.order_by("on").values_list("tank", "on"):
        looks[tank].append(on)
    for animal, tank, since, until in stays:
        last = until or Date.max
        if days := {on for on in looks[tank] if since <= on <= last}:
            found[animal] |= days
    return found
