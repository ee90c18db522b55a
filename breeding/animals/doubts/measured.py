"""What a measurement or a picture of a day stands against in its animal's own history."""

import datetime
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import fields
from functools import cache

from breeding.animals.doubts.sizes import Dated, Size, SizeLimits, Sizes, neighbours
from breeding.animals.growth.weight_for_width import WeightForWidth
from breeding.animals.growth.weights import is_published_for_these, weighed_program
from breeding.animals.models import Animal, Measurement
from breeding.animals.parents.impossible import before_birth, is_before_birth
from breeding.program.kinds import kind_words
from breeding.program.models import Program
from breeding.program.parts import in_parts
from breeding.program.problems.doubts import Doubt, threshold
from breeding.words.days import long_day
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import written
from breeding.words.sizes import length, weight

UNUSUAL = message(
    "A weight of {weight} does not go with a {size} of {width}: about {usual} would be usual. Is "
    "one of the two in another unit?"
)
UNUSUAL_HERE = message(
    "A weight of {weight} does not go with a {size} of {width}: about {usual} would be usual "
    "among your own animals. Is one of the two in another unit?"
)


@cache
def size_limits() -> SizeLimits:
    """The figures as they stand in the file."""
    return SizeLimits(**{one.name: threshold(one.name) for one in fields(SizeLimits)})


def sizes_of_all(animals: Iterable[Animal]) -> dict[int, Sizes]:
    """Every size on record of each of these, by its key: a query for every 500."""
    keys = list({one.pk for one in animals})
    found = {key: Sizes() for key in keys}
    for part in in_parts(keys):
        rows = Measurement.objects.filter(animal__in=part).order_by()
        facts = rows.values_list("animal", "on", "disc_width_mm", "weight_g")
        for key, on, width, grams in facts:
            found[key].add(Size(on, width, grams))
    return found


def doubts_of_size(
    animal: Animal,
    new: Size,
    others: Sizes,
    program: Program,
    own: WeightForWidth | None = None,
) -> Iterator[Doubt]:
    """What speaks against a size: growth, weight beside width, an animal that has left.

    own: what animals of its kind weigh for their width here, instead of the published pair.
    """
    limits = size_limits()
    yield from _when_gone(animal, new.on)
    if new.on is not None and new.width_mm:
        for other in neighbours(new.on, others.widths):
            yield from _of_widths((new.on, new.width_mm), other, limits, program.length_unit)
    if new.on is not None and new.weight_g:
        for other in neighbours(new.on, others.weights):
            yield from _of_weights((new.on, new.weight_g), other, limits, program.weight_unit)
    yield from _of_weight_and_width(new, others, limits, program, own)


def own_weights(
    animals: Iterable[Animal], days: Iterable[datetime.date | None]
) -> list[WeightForWidth | None]:
    """What holds for the weight of each of these on its day; None of who may carry young then.

    A few queries for all of them.
    """
    program, every = weighed_program(), list(zip(animals, days, strict=True))
    told = {one.pk: one for one, _ in every if program.is_told(one)}
    program.learn_carrying(told[one.pk] for one, on in every if one.pk in told and _grew(one, on))
    found: list[WeightForWidth | None] = []
    for animal, on in every:
        usual = None
        if animal.pk in told and not (_grew(animal, on) and program.may_carry(animal, on)):
            usual = program.usual_of(animal)
        found.append(usual.fit if usual else None)
    return found


def _grew(animal: Animal, on: datetime.date | None) -> bool:
    """Whether the day is not that of its birth, on which it carries no young."""
    return on is None or on != animal.born_on or animal.born_precision != Animal.Precision.DAY


def doubts_of_picture(animal: Animal, taken_on: datetime.date | None) -> Iterator[Doubt]:
    """A picture of a day on which the animal was not born yet, or was dead already."""
    if taken_on is None:
        return
    if is_before_birth(animal, taken_on):
        yield Doubt(before_birth(animal, taken_on), "taken_on")
    died_on = animal.state_on if animal.state == Animal.State.DIED else None
    if died_on is not None and taken_on > died_on:
        yield Doubt(
            tell(
                "{day} is after {animal} died ({then}).",
                day=long_day(taken_on),
                animal=animal.name,
                then=long_day(died_on),
            ),
            "taken_on",
        )


def _when_gone(animal: Animal, on: datetime.date | None) -> Iterator[Doubt]:
    """After it left: asked, for its new keeper may have told of it. After death: refused."""
    left_on = animal.state_on if animal.state == Animal.State.LEFT else None
    if on is not None and left_on is not None and on > left_on:
        yield Doubt(
            tell(
                "{day} is after {animal} left ({then}).",
                day=long_day(on),
                animal=animal.name,
                then=long_day(left_on),
            ),
            "on",
        )


def _of_widths(new: Dated, other: Dated, limits: SizeLimits, unit: str) -> Iterator[Doubt]:
    """By day they follow on each other, whichever of the two was written down first."""
    before, after = (other[1], new[1]) if other[0] <= new[0] else (new[1], other[1])
    days = abs((new[0] - other[0]).days)
    grows, shrinks = limits.grows_too_fast(before, after, days), limits.shrinks(before, after)
    if not grows and not shrinks:
        return
    stands = tell(
        "{heading} {size} on {day} stands against {other_size} on {other_day}",
        heading=kind_words().size_heading,
        size=length(new[1], unit),
        day=long_day(new[0]),
        other_size=length(other[1], unit),
        other_day=long_day(other[0]),
    )
    apart = length(abs(before - after), unit)
    if not grows:
        said = tell("{stands}: no animal shrinks by {apart}.", stands=stands, apart=apart)
    elif days:
        said = tell_many(
            "{stands}: {apart} of growth in {number} day.",
            "{stands}: {apart} of growth in {number} days.",
            days,
            stands=stands,
            apart=apart,
        )
    else:
        said = tell("{stands}: {apart} of growth on one day.", stands=stands, apart=apart)
    yield Doubt(said, "disc_width_mm")


def _of_weights(new: Dated, other: Dated, limits: SizeLimits, unit: str) -> Iterator[Doubt]:
    days = abs((new[0] - other[0]).days)
    if not limits.weight_jumps(other[1], new[1], days):
        return
    stands = tell(
        "Weight {weight} on {day} stands against {other_weight} on {other_day}",
        weight=weight(new[1], unit),
        day=long_day(new[0]),
        other_weight=weight(other[1], unit),
        other_day=long_day(other[0]),
    )
    times = written(f"{max(new[1], other[1]) / min(new[1], other[1]):.1f}")
    yield Doubt(_jump_words(stands, times, days, is_more=new[1] > other[1]), "weight_g")


def _jump_words(stands: str, times: str, days: int, *, is_more: bool) -> str:
    if not days and is_more:
        return tell("{stands}: {times} times as much on one day.", stands=stands, times=times)
    if not days:
        return tell("{stands}: {times} times less on one day.", stands=stands, times=times)
    if is_more:
        return tell_many(
            "{stands}: {times} times as much in {number} day.",
            "{stands}: {times} times as much in {number} days.",
            days,
            stands=stands,
            times=times,
        )
    return tell_many(
        "{stands}: {times} times less in {number} day.",
        "{stands}: {times} times less in {number} days.",
        days,
        stands=stands,
        times=times,
    )


def _of_weight_and_width(
    new: Size,
    others: Sizes,
    limits: SizeLimits,
    program: Program,
    own: WeightForWidth | None,
) -> Iterator[Doubt]:
    """A weight beside its own width, or else the nearest of the weeks around it; or the reverse."""
    if new.width_mm is None and new.weight_g is None:
        return
    width = new.width_mm or _near(new.on, others.widths, limits)
    grams = new.weight_g or _near(new.on, others.weights, limits)
    if not width or not grams:
        return
    least, usual, most = _usual_weights(width, limits, own)
    if usual and not least <= grams <= most:
        sentence = UNUSUAL if own is None else UNUSUAL_HERE
        yield Doubt(
            tell(
                sentence,
                weight=weight(grams, program.weight_unit),
                size=kind_words().size_said,
                width=length(width, program.length_unit),
                usual=weight(usual, program.weight_unit),
            ),
            "weight_g" if new.weight_g else "disc_width_mm",
        )


def _usual_weights(
    width_mm: int, limits: SizeLimits, own: WeightForWidth | None
) -> tuple[float, float, float]:
    """From which weight on nothing is asked, the usual one, and to which; zeros: nothing is known.

    The pair of figures in the file is of animals that may be measured otherwise than these.
    """
    if own is not None and own.is_enough and own.covers(width_mm / 10):
        usual, apart = own.weight(width_mm / 10), own.spread(width_mm / 10)
        times = max(limits.weight_own_times, math.exp(limits.weight_own_spreads * apart))
    elif is_published_for_these():
        usual, times = limits.usual_weight_g(width_mm), limits.weight_of_width_times
    else:
        return 0.0, 0.0, 0.0
    return usual / times, usual, usual * times


def _near(on: datetime.date | None, figures: Sequence[Dated], limits: SizeLimits) -> int | None:
    if on is None:
        return None
    near = [(abs((day - on).days), figure) for day, figure in neighbours(on, figures)]
    days, figure = min(near, default=(math.inf, 0))
    return figure if days <= limits.weight_beside_width_days else None
