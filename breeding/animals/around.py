"""Everybody who is here or on loan, and who died lately, read once a page."""

import datetime
from collections.abc import Sequence

from django.db.models import Q

from breeding.animals.models import Animal, Photograph
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.unchanged.along import take_along
from breeding.program.unchanged.marks import rests_on
from breeding.program.unchanged.records import kept_records

Date = datetime.date

_NAME = "everybody"
take_along(_NAME, None)
AROUND = (Animal.State.HERE, Animal.State.ON_LOAN)
LATELY_DAYS = 60  # how far back the question of who is around looks at deaths too


def everybody_around(asof: Date | None = None) -> Sequence[Animal]:
    """Here or on loan now, by name, with their portraits: at most one query.

    asof: where deaths up to that day are asked about later on the page; they are read with it.
    """
    return [one for one in _read(asof) if one.state in AROUND]


def died_lately(days: int, asof: Date) -> list[Animal]:
    """Who died in the last `days` up to a day, the latest first: at most one query."""
    since = asof - datetime.timedelta(days=days)
    every = _read(asof) if days <= LATELY_DAYS else _died(since, asof)
    died = [
        one
        for one in every
        if one.state == Animal.State.DIED and one.state_on and since < one.state_on <= asof
    ]
    return sorted(died, key=lambda one: (-(one.state_on or asof).toordinal(), one.pk))


def _read(asof: Date | None) -> Sequence[Animal]:
    """In a request that only reads never a second time, unless deaths of other days are wanted."""
    held: dict[Date | None, Sequence[Animal]] = remembered_while_reading(_NAME, dict)
    if held:
        rests_on(Animal, Photograph)
    if asof is None and held:
        return next(iter(held.values()))
    if asof not in held:
        wanted = Q(state__in=AROUND)
        if asof is not None:
            since = asof - datetime.timedelta(days=LATELY_DAYS)
            wanted |= Q(state=Animal.State.DIED, state_on__gt=since, state_on__lte=asof)
        rows = Animal.objects.filter(wanted).select_related("portrait")
        held[asof] = kept_records(("everybody", asof), lambda: rows.order_by("call_name", "code"))
    return held[asof]


def _died(since: Date, asof: Date) -> Sequence[Animal]:
    rows = Animal.objects.filter(state=Animal.State.DIED, state_on__gt=since, state_on__lte=asof)
    return list(rows.select_related("portrait"))
