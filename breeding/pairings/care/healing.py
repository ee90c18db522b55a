"""Whose marks have not been seen healed, and who has not been seen eating again; writes nothing.

A wound or refused food stays open until somebody looked again: marks until a look found none
(severity 0), food until it was taken, by a meal on record or by what was seen. Nothing heals by the
calendar alone but light marks.
"""

import datetime
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Model
from django.utils import timezone

from breeding.animals.around import everybody_around
from breeding.animals.changed import animals_written
from breeding.animals.models import Animal
from breeding.feeding.appetite import Appetite
from breeding.feeding.models import Meal
from breeding.feeding.queries import appetites, counting_meals
from breeding.feeding.renewed import RENEWED
from breeding.pairings.care.eating import TELLS_OF_HARM, SignOfHarm, seen_since, told_of_harm
from breeding.pairings.care.severity import Degree, degree
from breeding.pairings.models import Sighting
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.problems.several import named_in
from breeding.program.unchanged.come import Written
from breeding.program.unchanged.each import About, kept_of_each
from breeding.words.days import long_day
from breeding.words.language import tell

Date = datetime.date

LIGHT = 1  # a few shallow marks: part of courtship, nothing that forbids it
# How often to look again, by the latest degree; assumptions. Nobody said how bad: as if open.
LOOK_AGAIN_DAYS = {1: 7, 2: 2, 3: 1, 4: 1}
LOOK_AGAIN_UNSAID_DAYS = 1
LIGHT_HEALS_DAYS = 30  # light marks that nobody looked at again are let go; an assumption


@dataclass(frozen=True)
class OpenWound:
    """Marks not seen healed: first seen, last looked at, how bad then (None: nobody said).

    worst: the highest degree of all looks since they were first seen; None while none was said.
    """

    sighting: SignOfHarm  # the latest look
    since: Date
    looked_on: Date
    severity: int | None
    worst: int | None

    @property
    def is_more_than_light(self) -> bool:
        """Broken skin or worse, or nobody said how bad: she is not paired, nobody leaves."""
        return self.severity is None or self.severity > LIGHT

    @property
    def look_again_days(self) -> int:
        if self.severity is None:
            return LOOK_AGAIN_UNSAID_DAYS
        return LOOK_AGAIN_DAYS[self.severity]

    @property
    def look_again_on(self) -> Date:
        return self.looked_on + datetime.timedelta(days=self.look_again_days)

    @property
    def degree_words(self) -> str:
        """How bad it was at the last look: "severity 3, open"."""
        found: Degree | None = degree(self.severity)
        return tell("severity {degree}", degree=found) if found else tell("nobody said how bad")

    @property
    def words(self) -> str:
        """A sentence's part after a name: "has marks (severity 3, open) seen on 3 March 2026"."""
        return tell(
            "has marks ({degree}), last looked at on {day}",
            degree=self.degree_words,
            day=long_day(self.looked_on),
        )


@dataclass(frozen=True)
class Fast:
    """Food refused, and not taken since: the first day, the last, and by what it is found again."""

    since: Date
    seen_on: Date
    mark: str

    @property
    def words(self) -> str:
        return tell("is off food, last seen so on {day}", day=long_day(self.seen_on))


@dataclass(frozen=True)
class OpenHarm:
    """What is open of one animal; at least one of the two."""

    animal: Animal
    wound: OpenWound | None = None
    fast: Fast | None = None

    @property
    def forbids_words(self) -> str:
        """The same as a sentence; empty when nothing speaks against it."""
        name, wound, fast = self.animal.name, self.wound, self.fast
        if wound and not wound.is_more_than_light:
            wound = None
        if wound and fast:
            return tell(
                "Not to be paired now: {animal} has marks ({degree}), last looked at on {looked}, "
                "and is off food, last seen so on {seen}.",
                animal=name,
                degree=wound.degree_words,
                looked=long_day(wound.looked_on),
                seen=long_day(fast.seen_on),
            )
        if wound:
            return tell(
                "Not to be paired now: {animal} has marks ({degree}), last looked at on {looked}.",
                animal=name,
                degree=wound.degree_words,
                looked=long_day(wound.looked_on),
            )
        if fast:
            return tell(
                "Not to be paired now: {animal} is off food, last seen so on {seen}.",
                animal=name,
                seen=long_day(fast.seen_on),
            )
        return ""

    @property
    def forbids(self) -> tuple[str, ...]:
        """What speaks against breeding and against leaving, after a name."""
        wound = self.wound.words if self.wound and self.wound.is_more_than_light else ""
        return tuple(one for one in (wound, self.fast.words if self.fast else "") if one)


def open_harm(
    animals: Iterable[int] | None = None, *, asof: Date, here_only: bool = False
) -> dict[int, OpenHarm]:
    """By animal, of these keys or of all on record: as many queries, however many they are.

    In a request that only reads, nobody is asked about twice.
    """
    keys = list(_keys(here_only, asof) if animals is None else animals)
    held: dict[int, OpenHarm | None] = remembered_while_reading(f"open harm:{asof}", dict)
    if missing := [pk for pk in keys if pk not in held]:
        held |= kept_of_each(
            ("open harm", asof),
            missing,
            lambda keys: dict.fromkeys(keys) | _open_harm(list(keys), asof),
            harm_renewed(),
        )
    found = ((pk, held[pk]) for pk in sorted(set(keys)))
    return {pk: one for pk, one in found if one and (one.animal.is_here or not here_only)}


def harm_renewed() -> Mapping[type[Model], About]:
    """By which rows that are written daily harm, or how somebody eats, becomes another, and who
    that is."""
    return {**RENEWED, Sighting: _told_since, Animal: _written}


def may_be_harmed(keys: Collection[int]) -> set[int]:
    """Those of these of whom `open_harm` may say anything, on whatever day."""
    told = Sighting.objects.filter(TELLS_OF_HARM, withdrawn_at__isnull=True)
    left = counting_meals().filter(took=Meal.Took.NONE)
    return named_in(told, "female", keys) | named_in(left, "animal", keys)


def _told_since(written: Written) -> Collection[int]:
    return seen_since(written, TELLS_OF_HARM)


def _written(written: Written) -> Collection[int]:
    """And of whom a sighting names a male that was written."""
    animals = animals_written(written)
    named = Sighting.objects.filter(male__in=animals).values_list("female", flat=True)
    return {*animals, *named}


def _keys(here_only: bool, asof: Date) -> Iterable[int]:
    if here_only:
        return [one.pk for one in everybody_around(asof)]  # whom the day asks of anyway
    return Animal.objects.values_list("pk", flat=True)


def _open_harm(keys: list[int], asof: Date) -> dict[int, OpenHarm]:
    wounds, fasts = open_wounds(told_of_harm(keys), asof), _fasts(appetites(keys, asof))
    harmed = wounds.keys() | fasts.keys()
    rows = Animal.objects.select_related("portrait")
    every = rows.in_bulk(list(harmed)) if harmed else {}
    return {pk: OpenHarm(one, wounds.get(pk), fasts.get(pk)) for pk, one in sorted(every.items())}


def _fasts(eating: Mapping[int, Appetite]) -> dict[int, Fast]:
    """Of those whose refused food is an alarm; one meal left is a sign, and no more."""
    return {
        pk: Fast(one.refusals[0].on, one.refusals[-1].on, one.refusals[-1].mark)
        for pk, one in eating.items()
        if one.is_off_food
    }


def open_wounds(told: Iterable[SignOfHarm], asof: Date) -> dict[int, OpenWound]:
    """By these sightings, of each as they were seen: marks that no look up to a day has found
    healed."""
    found: dict[int, OpenWound | None] = {}
    zone = timezone.get_current_timezone()
    for row in told:
        is_look = row.is_mark or row.severity is not None
        if is_look and (on := row.seen_at.astimezone(zone).date()) <= asof:
            found[row.female_id] = _wound_after(found.get(row.female_id), row, on)
    return {pk: one for pk, one in found.items() if one and not _is_old_light(one, asof)}


def harm_open_of(animal: Animal, *, asof: Date) -> OpenHarm | None:
    """What is open of one animal."""
    return open_harm([animal.pk], asof=asof).get(animal.pk)


def _wound_after(wound: OpenWound | None, row: SignOfHarm, on: Date) -> OpenWound | None:
    if row.severity == 0:
        return None
    said = [one for one in (wound.worst if wound else None, row.severity) if one is not None]
    return OpenWound(row, wound.since if wound else on, on, row.severity, max(said, default=None))


def _is_old_light(wound: OpenWound, asof: Date) -> bool:
    return not wound.is_more_than_light and (asof - wound.looked_on).days > LIGHT_HEALS_DAYS
