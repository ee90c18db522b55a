"""Whose season is another one after rows were written that are added every day, or a move."""

from collections.abc import Callable, Collection, Iterable, Mapping

from django.db.models import Model

from breeding.animals.models import Measurement
from breeding.feeding.models import Feeding, Meal
from breeding.housing.models import Look, Stay
from breeding.housing.stays.changed import Stays, all_stays, difference
from breeding.pairings.models import Pairing, Sighting
from breeding.pairings.season.past.lessons import (
    look_matters,
    measured_matters,
    newest_end,
    sighting_matters,
)
from breeding.program.unchanged.come import added_after
from breeding.program.unchanged.each import Part

Keys = Collection[int]


def _seen(last: int) -> Keys | None:
    if sighting_matters(last):
        return None
    rows = added_after(last, Sighting.objects.all()).values_list("female", "male")
    return _together(key for row in rows for key in row)


def _measured(last: int) -> Keys | None:
    if measured_matters(last):
        return None
    return _together(added_after(last, Measurement.every.all()).values_list("animal", flat=True))


def _looked_at(last: int) -> Keys | None:
    """Whoever was ever in a tank that was ticked off."""
    if look_matters(last):
        return None
    tanks = set(added_after(last, Look.objects.all()).values_list("tank", flat=True))
    return _together(Stay.objects.filter(tank__in=tanks).values_list("animal", flat=True))


def _fed(last: int) -> Keys:
    return _together(added_after(last, Meal.objects.all()).values_list("animal", flat=True))


def _nobody(last: int) -> Keys:
    """A round says of an animal what its meals say."""
    return ()


def _together(keys: Iterable[int | None]) -> Keys:
    return {key for key in keys if key is not None}


RENEWED: Mapping[type[Model], Callable[[int], Keys | None]] = {
    Sighting: _seen,
    Measurement: _measured,
    Look: _looked_at,
    Feeding: _nobody,
    Meal: _fed,
}


def _moved(before: Stays, now: Stays) -> Keys | None:
    """Who was moved, whoever is beside them from that day on, and the females that a male who was
    moved is said to have been with: where he was tells whether he can have been. A move before the
    newest outcome is about what all closed seasons teach.
    """
    found = difference(before, now)
    if found is None:
        return ()
    if found.first < newest_end():
        return None
    said = (rows.filter(male__in=found.animals) for rows in (Sighting.objects, Pairing.objects))
    named = _together(key for rows in said for key in rows.values_list("female", flat=True))
    return {*found.animals, *found.beside, *named}


MOVED: Mapping[type[Model], Part] = {Stay: Part(all_stays, _moved)}


def _everybody_if(matters: Callable[[int], bool]) -> Callable[[int], Keys | None]:
    return lambda last: None if matters(last) else ()


# Of seasons that an outcome has closed: all of them, or none.
MATTERS: Mapping[type[Model], Callable[[int], Keys | None]] = {
    Sighting: _everybody_if(sighting_matters),
    Measurement: _everybody_if(measured_matters),
    Look: _everybody_if(look_matters),
    Feeding: _nobody,
    Meal: _nobody,
}
