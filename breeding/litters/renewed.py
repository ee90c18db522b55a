"""Which rows that are written every day are about some litters' pups."""

import datetime
from collections.abc import Callable, Collection, Iterable, Mapping
from typing import NamedTuple

from django.db.models import Model, Q, QuerySet

from breeding.animals.changed import animals_written
from breeding.animals.models import Animal
from breeding.feeding.models import Feeding, Meal
from breeding.feeding.renewed import fed, fed_in_rounds
from breeding.health.apart.renewed import Held, held_in_quarantine, held_otherwise
from breeding.housing.models import Stay, Tank, WaterTest
from breeding.housing.stays.changed import difference
from breeding.housing.water.queries import water_fits
from breeding.litters.models import Litter, Pup
from breeding.pairings.care.healing import harm_renewed
from breeding.pairings.models import Sighting
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.unchanged.come import Written
from breeding.program.unchanged.each import About, Part
from breeding.program.unchanged.growing import Matters


def about_pups_of(litters: QuerySet[Litter]) -> Mapping[type[Model], Matters]:
    """By table, whether a row that was written is about one of them; a measurement always is."""
    pups = Pup.objects.filter(litter__in=litters, animal__isnull=False)

    def about(animals: Callable[[Written], Collection[int]]) -> Matters:
        return lambda written: pups.filter(animal__in=animals(written)).exists()

    return {Sighting: about(_seen), Meal: about(fed), Feeding: about(fed_in_rounds)}


def _seen(written: Written) -> set[int]:
    return {key for (key,) in written.told(Sighting.objects.all(), "female_id")}


def litters_renewed() -> Mapping[type[Model], About]:
    """By which rows that are written daily a pup, as the day reads it, becomes another, and of
    which litter."""
    every: dict[type[Model], About] = {**harm_renewed(), Stay: _moved}
    return {model: _of_their_litters(about) for model, about in every.items()} | {Animal: _named}


def _moved(written: Written) -> Collection[int]:
    found = difference(written)
    return found.animals if found else ()


def _named(written: Written) -> Collection[int]:
    """Every litter that names an animal which was written: as a pup, its parent or the dam."""
    animals = animals_written(written)
    is_pup = Q(animal__in=animals) | Q(animal__dam__in=animals) | Q(animal__sire__in=animals)
    pups = Pup.every.filter(is_pup | Q(litter__dam__in=animals))
    return set(pups.values_list("litter", flat=True))


def _of_their_litters(about: About) -> About:
    def litters(written: Written) -> Collection[int] | None:
        animals = about(written)
        return None if animals is None else _litters_of(animals)

    return litters


def _litters_of(animals: Iterable[int]) -> set[int]:
    return set(Pup.objects.filter(animal__in=set(animals)).values_list("litter", flat=True))


class _Around(NamedTuple):
    """What the day says of a pup by where it is, beside its own stays: by quarantine, and water.

    waters: of each tank in use whose water is not fit, why.
    """

    holds: Held
    waters: Mapping[int, str]


def litters_around(asof: datetime.date) -> Mapping[type[Model], Part]:
    """Of stays, animals and tests of water what the pups of litters rest on beside their own."""

    def read() -> _Around:
        return remembered_while_reading(f"around pups:{asof}", lambda: _around(asof))

    def about(before: _Around, now: _Around) -> Collection[int]:
        animals = held_otherwise(before.holds, now.holds)
        waters = {tank for tank, _ in before.waters.items() ^ now.waters.items()}
        if waters:
            inside = _going_on(asof).filter(tank__in=waters)
            animals |= set(inside.values_list("animal", flat=True))
        return _litters_of(animals)

    part = Part(read, about)
    return {Stay: part, WaterTest: part, Animal: part}


def _going_on(asof: datetime.date) -> QuerySet[Stay]:
    """Those that have not ended by the end of this day."""
    return Stay.objects.filter(Q(until=None) | Q(until__gt=asof))


def _around(asof: datetime.date) -> _Around:
    in_use = set(_going_on(asof).order_by().values_list("tank", flat=True).distinct())
    fits = water_fits(Tank.objects.filter(pk__in=in_use), asof)
    return _Around(
        held_in_quarantine(asof),
        {key: one.because for key, one in fits.items() if one.fit is False},
    )
