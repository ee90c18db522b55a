"""What must not be done with animals on a day, and why: one place, which every door asks.

A remedy in the water reaches every tank that shares it: whoever was in one of them while it was
given is held, wherever it is now.
"""

import datetime
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from django.db.models import Q

from breeding.animals.models import Animal
from breeding.health.hold import Forbidden, Hold
from breeding.health.models import Treatment
from breeding.health.quarantine import may_be_apart, quarantine_holds, water_by, water_of
from breeding.housing.models import Stay
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import named_in
from breeding.words.days import long_day
from breeding.words.language import message, sentences, tell

Date = datetime.date
Source = Callable[[Collection[int], Date], Mapping[int, Iterable[Hold]]]

NOT_TO_BE = {
    "sell": message("It is not to leave."),
    "move": message("It is not to be moved."),
    "breed": message("It is not to be bred."),
}


def holds_on(keys: Iterable[int], on: Date) -> dict[int, tuple[Hold, ...]]:
    """What holds each of these on a day; those that are free are left out.

    A constant number of queries, bounded by these animals and by what is treated on that day.
    """
    asked = set(keys)
    found: dict[int, list[Hold]] = {}
    for source in SOURCES if asked else ():
        for key, holds in source(asked, on).items():
            found.setdefault(key, []).extend(holds)
    return {key: tuple(holds) for key, holds in found.items() if holds}


def holds_of(animal: Animal, on: Date) -> tuple[Hold, ...]:
    """What holds one animal on a day."""
    return holds_on([animal.pk], on).get(animal.pk, ())


def doubts_of_held(
    animals: Iterable[Animal],
    forbidden: Forbidden,
    on: Date,
    *,
    field: str = "",
    needs_reason: bool = True,
) -> Iterator[Doubt]:
    """Why this is not to be done with these on a day: a sentence for each hold, in their order."""
    known = {one.pk: one for one in animals}
    held = holds_on(known, on)
    for key, one in known.items():
        yield from doubts_of_holds(one, held.get(key, ()), forbidden, field, needs_reason)


def doubts_of_holds(
    animal: Animal,
    holds: Iterable[Hold],
    forbidden: Forbidden,
    field: str = "",
    needs_reason: bool = True,
) -> Iterator[Doubt]:
    """Of one animal, from what holds it."""
    for hold in holds:
        if forbidden in hold.forbids:
            held = tell("{animal} {is_held}.", animal=animal.name, is_held=hold.in_words)
            words = sentences(held, tell(NOT_TO_BE[forbidden]))
            yield Doubt(words, field, needs_reason=needs_reason)


def may_be_held(keys: Iterable[int]) -> set[int]:
    """Those of these of whom `holds_on` may say anything, on whatever day."""
    keys = list(keys)
    found = named_in(Treatment.objects.all(), "animal", keys) | may_be_apart(keys)
    if Treatment.objects.filter(tank__isnull=False).exists():
        found |= named_in(Stay.objects.all(), "animal", keys)
    return found


def treatments_holding(on: Date, *, begun_by: Date | None = None) -> Q:
    """Those that hold on a day, by their own days; with those that began since, up to a day."""
    free = Q(until__isnull=False, until__lt=on) & (
        Q(hold_until__isnull=True) | Q(hold_until__lte=on)
    )
    return Q(since__lte=begun_by or on) & ~free


def holds_by_its_days(row: Treatment, on: Date) -> bool:
    """Whether one that is read is among `treatments_holding` of a day."""
    is_over = row.until is not None and row.until < on
    return row.since <= on and not (is_over and (row.hold_until is None or row.hold_until <= on))


def _from_treatments(keys: Collection[int], on: Date) -> dict[int, list[Hold]]:
    """Of the animal itself, and of the water it was in while the remedy was in it: two queries."""
    rows = list(
        Treatment.objects.filter(treatments_holding(on), Q(animal__in=keys) | Q(tank__isnull=False))
        .select_related("tank")
        .order_by("since", "pk")
    )
    of_water = [row for row in rows if row.tank is not None]
    found: dict[int, list[Hold]] = {}
    for row in rows:
        if row.animal_id is not None:
            found.setdefault(row.animal_id, []).append(hold_of(row, row.animal_id, on))
    for key, treated in treated_in_water(of_water, keys, on):
        found.setdefault(key, []).append(hold_of(treated, key, on))
    return found


def treated_in_water(
    treatments: Collection[Treatment], keys: Collection[int] | None, on: Date
) -> list[tuple[int, Treatment]]:
    """Which of these animals (None: of all) were in which treated water, up to a day.

    One that was moved out on the day the treatment began was not in it where its next place was
    written down before the treatment was; otherwise nobody knows, and it was. Two queries at most.
    """
    if not treatments:
        return []
    tanks = {row.tank_id for row in treatments}
    systems = {row.tank.system_id for row in treatments if row.tank and row.tank.system_id}
    first = min(row.since for row in treatments)
    stays = Stay.objects.filter(Q(tank__in=tanks) | Q(tank__system__in=systems), since__lte=on)
    stays = stays.exclude(until__lt=first)
    if keys is not None:
        stays = stays.filter(animal__in=keys)
    columns = ("animal", "tank", "tank__system", "since", "until")
    inside = (
        Inside(animal, water_by(tank, system), since, until)
        for animal, tank, system, since, until in stays.values_list(*columns)
    )
    return treated_by_stays(waters_of(treatments), inside, on, _written_on_the_day)


class Inside(NamedTuple):
    """A stay as far as a remedy reaches it."""

    animal: int
    water: str  # as `water_by` has it
    since: Date
    until: Date | None


Moved = Collection[tuple[int, Treatment]]  # who was moved on the day on which which remedy came
# When it was first written down where each of these came on that day, as far as it was.
Written = Callable[[Moved], Mapping[tuple[int, Date], datetime.datetime]]


def waters_of(treatments: Iterable[Treatment]) -> dict[str, list[Treatment]]:
    """Those of water, by this."""
    found: dict[str, list[Treatment]] = {}
    for row in treatments:
        if row.tank is not None:
            found.setdefault(water_of(row.tank), []).append(row)
    return found


def treated_by_stays(
    treatments: Mapping[str, Sequence[Treatment]],
    stays: Iterable[Inside],
    on: Date,
    written: Written,
) -> list[tuple[int, Treatment]]:
    """`treated_in_water` by stays in their order; treatments: as `waters_of` has them."""
    found: dict[tuple[int, int], Treatment] = {}
    on_the_day: list[tuple[int, Treatment]] = []
    for stay in stays:
        for row in treatments.get(stay.water, ()):
            if not _was_in_it(row, stay.since, stay.until, on):
                continue
            if stay.until == row.since:
                on_the_day.append((stay.animal, row))
            else:
                found.setdefault((stay.animal, row.pk), row)
    for animal, row in _still_there(on_the_day, written):
        found.setdefault((animal, row.pk), row)
    return [(animal, row) for (animal, _), row in found.items()]


def _was_in_it(row: Treatment, since: Date, until: Date | None, on: Date) -> bool:
    return since <= min(row.until or on, on) and (until is None or until >= row.since)


def _still_there(moved: Moved, written: Written) -> list[tuple[int, Treatment]]:
    """Those that were moved on the first day, and for all that is known not before the remedy."""
    if not moved:
        return []
    at = written(moved)
    return [
        (animal, row)
        for animal, row in moved
        if row.recorded_at is None
        or at.get((animal, row.since), row.recorded_at) >= row.recorded_at
    ]


def _written_on_the_day(moved: Moved) -> dict[tuple[int, Date], datetime.datetime]:
    next_stays = Stay.objects.filter(
        animal__in={animal for animal, _ in moved}, since__in={row.since for _, row in moved}
    )
    written: dict[tuple[int, Date], datetime.datetime] = {}
    for animal, since, at in next_stays.values_list("animal", "since", "recorded_at"):
        written[animal, since] = min(at, written.get((animal, since), at))
    return written


def hold_of(row: Treatment, key: int, on: Date) -> Hold:
    """How a treatment holds an animal."""
    return Hold(key, _why(row, on), row.free_from(on))


def _why(row: Treatment, on: Date) -> str:
    """After the name of an animal: how it is or was treated."""
    said = {"remedy": row.remedy, "tank": row.tank}
    if row.goes_on(on):
        since = long_day(row.since)
        if row.tank is None:
            return tell("has been under treatment with {remedy} since {day}", day=since, **said)
        return tell(
            "has been under treatment with {remedy} since {day} (the water of {tank})",
            day=since,
            **said,
        )
    if row.until is None:
        if row.tank is None:
            return tell("was treated with {remedy}", **said)
        return tell("was treated with {remedy} (the water of {tank})", **said)
    until = long_day(row.until)
    if row.tank is None:
        return tell("was treated with {remedy} until {day}", day=until, **said)
    return tell("was treated with {remedy} until {day} (the water of {tank})", day=until, **said)


SOURCES: tuple[Source, ...] = (_from_treatments, quarantine_holds)
