"""Whose season is another one after rows were written that are added every day, or a move."""

import datetime
from collections.abc import Collection, Hashable, Iterable, Mapping
from functools import partial

from django.db.models import Model

from breeding.animals.changed import standing_elsewhere
from breeding.animals.models import Animal, Measurement
from breeding.feeding.models import Feeding, Meal
from breeding.feeding.renewed import fed, fed_in_rounds
from breeding.housing.models import Look, Stay
from breeding.housing.stays.changed import difference, ever_beside
from breeding.pairings.models import Outcome, Pairing, Sighting
from breeding.pairings.season.past.lessons import (
    is_before_newest_end,
    look_matters,
    measured_matters,
    pairing_matters,
    sighting_matters,
    sightings_told,
    standing_matters,
    stay_before,
    stay_matters,
)
from breeding.program.unchanged.come import Written
from breeding.program.unchanged.each import About
from breeding.program.unchanged.growing import Matters

Date = datetime.date
Keys = Collection[int]


def _seen(written: Written) -> Keys | None:
    if sighting_matters(written):
        return None
    told = sightings_told(written)
    return _together(key for female, male, _ in told for key in (female, male))


def _measured(written: Written) -> Keys | None:
    if measured_matters(written):
        return None
    return {key for (key,) in written.told(Measurement.every.all(), "animal_id")}


def _looked_at(written: Written) -> Keys | None:
    """Whoever was ever in a tank that was ticked off."""
    if look_matters(written):
        return None
    tanks = {key for (key,) in written.told(Look.objects.all(), "tank_id")}
    return _together(Stay.objects.filter(tank__in=tanks).values_list("animal", flat=True))


def _paired(written: Written) -> Keys | None:
    return None if pairing_matters(written) else _of_pairs(written)


def _of_pairs(written: Written) -> Keys:
    rows = written.told(Pairing.objects.all(), "female_id", "male_id")
    return _together(key for row in rows for key in row)


def _together(keys: Iterable[int | None]) -> Keys:
    return {key for key in keys if key is not None}


RENEWED: Mapping[type[Model], About] = {
    Sighting: _seen,
    Measurement: _measured,
    Look: _looked_at,
    Feeding: fed_in_rounds,
    Meal: fed,
    Pairing: _paired,
}
PAIRED: Mapping[type[Model], About] = {Pairing: _of_pairs}


def _moved(written: Written) -> Keys | None:
    """Who was moved, whoever is beside them from that day on, and the females that a male who was
    moved is said to have been with: where he was tells whether he can have been. A move before the
    newest outcome is about what all closed seasons teach.
    """
    if stay_matters(written):
        return None
    found = difference(written)
    if found is None:
        return ()
    return {*found.animals, *found.beside, *_said_with(found.animals)}


def _said_with(males: Collection[int]) -> Keys:
    """The females that these males are said to have been with."""
    said = (rows.filter(male__in=males) for rows in (Sighting.objects, Pairing.objects))
    return _together(key for rows in said for key in rows.values_list("female", flat=True))


def _standing(written: Written) -> Keys | None:
    """Who is gone, or back; whoever was ever beside them, since a stay that nobody ended ends with
    them; and the females that a male among them is said to have been with."""
    found = standing_elsewhere(written)
    if found is None or standing_matters(written):
        return None
    return {*found, *ever_beside(found), *_said_with(found)}


MOVED: Mapping[type[Model], About] = {Stay: _moved, Animal: _standing}


def _of_closed(written: Written) -> Keys | None:
    """The outcomes of those whose seasons name one that stands elsewhere."""
    females = _standing(written)
    if females is None:
        return None
    return set(Outcome.objects.filter(female__in=females).values_list("pk", flat=True))


def question_of(asof: Date) -> Hashable:
    """By which the seasons that go on as of a day are kept."""
    return "seasons", asof


def moved_before(day: Date, written: Written) -> Keys | None:
    """Whose company before this day is another: nobody's by moves of that day alone."""
    return _moved(written) if stay_before(day, written) else ()


def _everybody_if(matters: Matters) -> About:
    return lambda written: None if matters(written) else ()


# Of seasons that an outcome has closed: all of them, or none; of animals those that name them.
MATTERS: Mapping[type[Model], About] = {
    Sighting: _everybody_if(sighting_matters),
    Measurement: _everybody_if(measured_matters),
    Look: _everybody_if(look_matters),
    Feeding: _everybody_if(partial(is_before_newest_end, model=Feeding, moment="fed_at")),
    Meal: _everybody_if(partial(is_before_newest_end, model=Meal, moment="fed_at")),
    Pairing: _everybody_if(pairing_matters),
    Stay: _everybody_if(stay_matters),
    Animal: _of_closed,
}
