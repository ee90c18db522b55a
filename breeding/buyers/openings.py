"""Which wishes a pup fits that may leave and is free, kept for each litter by itself."""

import datetime
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from typing import Any

from django.db.models import Model

from breeding.buyers.models import Wish
from breeding.buyers.waiting import (
    Candidate,
    Fit,
    Fits,
    WishReading,
    asked_for,
    candidates,
    fit_of,
    standing_and_met,
    young,
)
from breeding.buyers.wished_traits import readings_for
from breeding.litters.queries import PupReading, Young
from breeding.program.models import Program
from breeding.program.unchanged.each import Part, kept_of_each
from breeding.program.unchanged.marks import rests_on

Fitting = Mapping[tuple[Any, ...], Sequence[Fit]]  # by what is asked for, those that fit


def openings(
    program: Program, *, asof: datetime.date, among: Iterable[PupReading] | None = None
) -> list[WishReading]:
    """The wishes that a pup fits which nobody has reserved, and the pups that fit; the oldest wish
    first.

    Only pups that may leave are held against them; while there are none, no wish is read.
    """
    return _told(_fitting(young(asof=asof) if among is None else among, program).values())


def openings_of(
    litters: Callable[[], Sequence[Young]],
    daily: Iterable[type[Model]],
    program: Program,
    *,
    asof: datetime.date,
) -> list[WishReading]:
    """The same of the pups of litters, held against wishes again only where a litter is another, or
    the wishes are.

    litters: hands out the same ones until they may be others. daily: the tables of which only what
    these litters, and the wishes, rest on matters.
    """

    def by_key() -> Mapping[int, Young]:
        return {one[0].pk: one for one in litters()}

    def read() -> tuple[Mapping[int, Young], Any]:
        return by_key(), standing_and_met()

    def others(
        held: tuple[Mapping[int, Young], Any], read: tuple[Mapping[int, Young], Any]
    ) -> Collection[int] | None:
        (before, wishes), (now, wishes_now) = held, read
        if wishes is not wishes_now:
            return None
        return {key for key in before.keys() | now.keys() if before.get(key) is not now.get(key)}

    def make(keys: Collection[int]) -> dict[int, Fitting]:
        rests_on(Program)
        there = by_key()
        pups = [one for key in keys if key in there for one in there[key][1]]
        return {key: {} for key in keys} | _fitting(pups, program)

    parts = dict.fromkeys(daily, Part(read, others))
    return _told(kept_of_each(("openings", asof), by_key(), make, {}, parts).values())


def _fitting(pups: Iterable[PupReading], program: Program) -> dict[int, Fitting]:
    """By litter, and only those in which a pup may leave."""
    ready = [one for one in pups if not one.lacks]
    if not ready:
        return {}
    wishes = _still_waiting()
    here: dict[int, list[Candidate]] = {}
    for one in candidates(ready):
        here.setdefault(one.pup.pup.litter_id, []).append(one)
    readings = readings_for(wishes)
    oldest: dict[tuple[Any, ...], Wish] = {}
    for wish in wishes:
        oldest.setdefault(asked_for(wish), wish)
    return {
        litter: {
            asked: [
                fit
                for pup in _alike(some, wish)
                if (fit := fit_of(wish, pup, program, readings)).is_fit
            ]
            for asked, wish in oldest.items()
        }
        for litter, some in here.items()
    }


def _still_waiting() -> list[Wish]:
    """Standing wishes that are not met, the oldest first."""
    wishes, met = standing_and_met()
    return [one for one in wishes if one.pk not in met]


def _told(litters: Iterable[Fitting]) -> list[WishReading]:
    litters = [one for one in litters if one]
    held: dict[tuple[Any, ...], Fits] = {}
    found = []
    for wish in _still_waiting() if litters else ():
        asked = asked_for(wish)
        if asked not in held:
            fits = (fit for litter in litters for fit in litter[asked])
            held[asked] = Fits(sorted(fits, key=lambda one: one.animal.code))
        if held[asked]:
            found.append(WishReading(wish, held[asked], None))
    return found


def _alike(pups: Iterable[Candidate], wish: Wish) -> Iterator[Candidate]:
    """Those that nothing rules out which one can see, so that no words are made of the others."""
    for one in pups:
        is_strain = wish.strain_id is None or one.animal.strain_id == wish.strain_id
        if one.reservation is None and is_strain and wish.sex in ("", one.animal.sex):
            yield one
