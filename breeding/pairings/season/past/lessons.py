"""What all closed seasons teach, kept from page to page: what is seen today changes none of it."""

import datetime
from bisect import bisect_right
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from django.db.models import Max, Model
from django.utils import timezone

from breeding.animals.changed import standing_elsewhere
from breeding.animals.models import Animal, Measurement
from breeding.animals.species.profiles import Figures
from breeding.feeding.models import Feeding, Meal
from breeding.gestation import Profile
from breeding.housing.models import Look, Stay
from breeding.pairings.models import Outcome, Pairing, Sighting, SignKind
from breeding.pairings.season.exposure import exposure_of
from breeding.pairings.season.facts import Ask, Facts, gather, gather_all
from breeding.pairings.season.past.closed import (
    ClosedSeason,
    Lesson,
    Lessons,
    closed_seasons,
    lessons_of_each,
    lessons_until,
)
from breeding.pairings.season.past.learned import Learned, learned_from, priors_of
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.models import Withdrawable
from breeding.program.unchanged.along import take_along
from breeding.program.unchanged.come import Written
from breeding.program.unchanged.growing import Matters, kept_while_growing
from breeding.program.unchanged.marks import rests_on

Date = datetime.date
_NEWEST_END, _TOLD = "newest end", "sightings told"
take_along(_NEWEST_END, None)
take_along(_TOLD, None)


@dataclass(frozen=True)
class Closed:
    """Every season that was closed, and what those up to a day teach, reckoned once for each."""

    seasons: Sequence[ClosedSeason]
    kinds: Mapping[str, SignKind]
    _lessons: dict[Date, Lessons] = field(default_factory=dict, repr=False)

    @cached_property
    def _priors(self) -> Mapping[str, Profile]:
        return priors_of({}, self.seasons, self.kinds)

    @cached_property
    def _each(self) -> Sequence[Lesson]:
        return lessons_of_each(self.seasons, self._priors)

    @cached_property
    def _days(self) -> Sequence[Date]:
        return sorted({one.on for one in self.seasons})

    def newest(self, until: Date) -> Date:
        """The day of the newest that was closed by then: up to the next one they teach the same."""
        before = bisect_right(self._days, until)
        return self._days[before - 1] if before else Date.min

    def learned(self, cards: Iterable[Figures], *, until: Date) -> dict[str, Learned]:
        """For each of these sets of figures, by its key: what seasons closed by then have taught.

        Two threads may reckon the same at once; both come to the same.
        """
        asked = {card.key: card for card in cards}
        others = {key: card for key, card in asked.items() if key not in self._priors}
        priors = {**self._priors, **priors_of(others, (), self.kinds)}
        day = self.newest(until)
        if day not in self._lessons:
            self._lessons[day] = lessons_until(self._each, day)
        lessons = self._lessons[day]
        return {key: learned_from(priors[key], lessons, key)[0] for key in asked}


def gather_with_lessons(asks: Sequence[Ask]) -> tuple[Facts, Closed]:
    """The facts of these seasons, and every closed one; what must be read is read together."""
    read: list[Facts] = []

    def make() -> Closed:
        read.append(gather_all(asks))
        return closed_of(read[0])

    closed = _kept(make)
    if read:
        return read[0], closed
    return gather(asks), closed


def every_closed() -> Closed:
    """The same for a page that asks for no season."""
    return _kept(lambda: closed_of(gather()))


def _kept(make: Callable[[], Closed]) -> Closed:
    growing: dict[type[Model], Matters] = {
        Sighting: sighting_matters,
        Measurement: measured_matters,
        Look: look_matters,
        # How they eat is read for the seasons that are asked for together with these.
        Feeding: lambda _: False,
        Meal: lambda _: False,
        Stay: stay_matters,
        Pairing: pairing_matters,
        Animal: standing_matters,
    }
    return kept_while_growing("closed seasons", make, growing)


def closed_of(facts: Facts) -> Closed:
    return Closed(closed_seasons(facts, exposure_of(facts.together)), facts.kinds)


def newest_end() -> Date:
    """What comes on that day, or later, belongs to no season that was closed: one query, in a
    request that only reads never a second."""
    rests_on(Outcome)
    return remembered_while_reading(_NEWEST_END, _newest_end)


def _newest_end() -> Date:
    newest = Outcome.objects.filter(withdrawn_at__isnull=True).aggregate(on=Max("on"))
    return newest["on"] or Date.min


def sightings_told(written: Written) -> Sequence[tuple[int, int | None, datetime.datetime]]:
    """Of every sighting that was written the female, the male and the moment.

    Asked once a request that only reads, though much is kept by it.
    """
    rests_on(Sighting)
    held: dict[Hashable, Sequence[Any]] = remembered_while_reading(_TOLD, dict)
    if written.since not in held:
        rows = written.told(Sighting.objects.all(), "female_id", "male_id", "seen_at")
        held[written.since] = rows
    return held[written.since]


def sighting_matters(written: Written) -> bool:
    return _is_any_before_newest_end(at for *_, at in sightings_told(written))


def is_before_newest_end(written: Written, model: type[Model], moment: str) -> bool:
    """Whether one of the rows that were written is of a day before it, or was."""
    told = written.told(model._default_manager.all(), moment)
    return _is_any_before_newest_end(at for (at,) in told)


def _is_any_before_newest_end(moments: Iterable[datetime.datetime]) -> bool:
    end = newest_end()
    if end == Date.min:
        return False
    before = timezone.make_aware(datetime.datetime.combine(end, datetime.time()))
    return any(at < before for at in moments)


def measured_matters(written: Written) -> bool:
    """Also of one of unknown age, whose size says from when on it was grown."""
    end = newest_end()
    told = written.told(Measurement.every.all(), "on", "animal_id")
    if any(on is not None and on < end for on, _ in told):
        return True
    measured = {animal for _, animal in told}
    return Animal.objects.filter(pk__in=measured, born_on__isnull=True).exists()


def pairing_matters(written: Written) -> bool:
    """Who was put together before it, and whether they were parted before it: no more is asked."""
    return _spans_matter(
        newest_end(), written, Pairing, "female_id", "male_id", "introduced_on", "separated_on"
    )


def stay_matters(written: Written) -> bool:
    """Who was where before it; how long what went on then goes on since is one."""
    return stay_before(newest_end(), written)


def stay_before(end: Date, written: Written) -> bool:
    """Whether anybody was somewhere else before this day."""
    return _spans_matter(end, written, Stay, "animal_id", "tank_id", "side", "since", "until")


def _spans_matter(end: Date, written: Written, model: type[Withdrawable], *told: str) -> bool:
    """Whether anything that counts and began before this day is another. told: whom and what it is
    about, and its first and last day, of which those from that day on are alike."""

    def before_it(rows: Iterable[tuple[Any, ...]]) -> set[tuple[Any, ...]]:
        return {
            (*about, since, until if until and until < end else None)
            for *about, since, until in rows
            if since < end
        }

    counted = model._base_manager.filter(withdrawn_at__isnull=True)
    were = (one for one in written.before if one["withdrawn_at"] is None)
    before = before_it(tuple(one[name] for name in ("id", *told)) for one in were)
    return before_it(written.are(counted, "id", *told)) != before


def standing_matters(written: Written) -> bool:
    """Whether an animal stands elsewhere since a day before it: so long it can have been with
    another. Whatever else of an animal is another matters."""
    found = standing_elsewhere(written)
    if found is None:
        return True
    end = newest_end()
    return any(
        state != Animal.State.HERE and (on is None or on < end)
        for each in found.values()
        for state, on in each
    )


def look_matters(written: Written) -> bool:
    end = newest_end()
    return any(on < end for (on,) in written.told(Look.objects.all(), "on"))
