"""Young ones that grow too slowly: below their own curve, far behind the others, or thinner."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from breeding.animals.growth.reading import GrowthReading, growths_of
from breeding.animals.growth.said import lag_words, lags
from breeding.animals.growth.weight import weight_loss
from breeding.animals.models import Animal, Measurement
from breeding.litters.queries import PupReading
from breeding.program.models import Program
from breeding.words.days import long_day
from breeding.words.numbers import percent
from breeding.words.sizes import length, weight

Date = datetime.date

LATELY_DAYS = 14  # an older measurement speaks of another time
MOST_DAYS = 365  # of age; older ones are asked of by their condition and weight
FEW_MATES = 3  # littermates measured on the same day; fewer say little
BEHIND_MATES = 0.15  # narrower by this share than the middle one of them: assumption, no source


@dataclass(frozen=True)
class Lag:
    """One that grows too slowly, by its latest measurement, and why that is said."""

    animal: Animal
    measured_on: Date
    sentences: tuple[str, ...]


def lagging(pups: Sequence[PupReading], *, asof: Date, program: Program) -> list[Lag]:
    """Among these, whoever is here and was measured lately. Three queries."""
    unit = program.length_unit
    here = {
        animal.pk: (animal, one.pup.litter_id)
        for one in pups
        if (animal := one.pup.animal)
        and animal.is_here
        and _is_young(animal, asof)
        and one.measured_on is not None
        and (asof - one.measured_on).days <= LATELY_DAYS  # no curve is fitted for the others
    }
    lately = growths_of([animal for animal, _ in here.values()])
    weights = _weights_of(lately)
    found = []
    for key, growth in lately.items():
        animal, litter = here[key]
        mates = [one for other, one in lately.items() if other != key and here[other][1] == litter]
        slow = (*_own(growth, unit), *_beside(growth, mates, unit))
        if said := (*slow, *_thinner(weights[key], asof, program)):
            found.append(Lag(animal, growth.points[-1][0], said))
    return found


def _weights_of(keys: Collection[int]) -> Mapping[int, Sequence[tuple[Date, int]]]:
    found: dict[int, list[tuple[Date, int]]] = defaultdict(list)
    if not keys:
        return found
    rows = Measurement.objects.filter(animal__in=keys, weight_g__isnull=False, on__isnull=False)
    for key, on, grams in rows.values_list("animal_id", "on", "weight_g"):
        if on and grams:
            found[key].append((on, grams))
    return found


def _thinner(weights: Sequence[tuple[Date, int]], asof: Date, program: Program) -> Iterator[str]:
    """A young one gains from week to week; what it lost is said from the program's share on."""
    loss = weight_loss(weights, asof=asof)
    if loss is not None and loss.share >= program.weight_loss_caution:
        unit = program.weight_unit
        yield (
            f"Lost {percent(round(loss.share, 2))} of its weight: {weight(loss.heaviest_g, unit)} "
            f"on {long_day(loss.heaviest_on)}, {weight(loss.latest_g, unit)} on "
            f"{long_day(loss.latest_on)}. Weigh it again, and look at its food and its water."
        )


def _is_young(animal: Animal, asof: Date) -> bool:
    return animal.born_on is not None and 0 <= (asof - animal.born_on).days <= MOST_DAYS


def _own(growth: GrowthReading, unit: str) -> Iterator[str]:
    if lags(growth):
        yield lag_words(growth, unit)


def _beside(growth: GrowthReading, mates: Sequence[GrowthReading], unit: str) -> Iterator[str]:
    """Against those of its litter that were measured on the same day."""
    on, width = growth.points[-1]
    widths = [dict(one.points)[on] for one in mates if on in dict(one.points)]
    if len(widths) < FEW_MATES:
        return
    middle = median(widths)
    if width <= middle * (1 - BEHIND_MATES):
        yield (
            f"{length(width, unit)} on {long_day(on)}, {percent(round(1 - width / middle, 2))} "
            f"narrower than the middle one of its littermates ({length(middle, unit)}). See that "
            "it gets its food, and feed it apart if the others are quicker."
        )
