"""Young ones that grow too slowly: below their own curve, behind the others, or thinner.

The thresholds of this file and of `BEHIND` were chosen on simulated years (`benchmarks/raising.py`,
seeds 11 to 20, and further years of that world) so that thirty young weighed weekly raise few false
alarms; they have no other source. What a litter is held to grows with the scatter of its own
weighings, so that a rough scale makes the tool slower and not louder.
"""

import datetime
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from breeding.animals.growth.beside import (
    FEW_MATES,
    THINNER_BEFORE,
    Gain,
    Sizes,
    gain_of,
    lighter,
    spread_with,
)
from breeding.animals.growth.reading import GrowthReading, growths_of
from breeding.animals.growth.said import lag_words, lags
from breeding.animals.growth.weight import WeightLoss, weight_loss
from breeding.animals.growth.weights import published_pair, weighed_program
from breeding.animals.models import Animal, Measurement
from breeding.litters.models import Pup
from breeding.litters.queries import PupReading
from breeding.litters.raising.leaving import measurements_of
from breeding.program.models import Program
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import percent, spelled
from breeding.words.sizes import length, weight

Date = datetime.date

LATELY_DAYS = 14  # an older measurement speaks of another time
MOST_DAYS = 365  # of age; older ones are asked of by their condition and weight
BEHIND_MATES = 0.15  # narrower by this share than the middle one of them: assumption, no source
# Gained less than the middle one of its littermates by so many times as far as gains lie apart in
# its litter, by its own weighings: roughly weighed litters are not called oftener than others.
LESS_SPREADS = 2.8
LESS = 0.03  # in logs; less than that is nothing to speak of, however well it is measured
# The errors of a careful hand and scale, in logs, where a litter was weighed too seldom to tell: of
# a width, of a weight, and of both together. An assumption.
HAND_WIDTH, HAND_WEIGHT = 0.008, 0.02
THINNER = 0.12  # lighter for its width than it was itself, in logs
THINNER_SPREADS = 3.1  # and so many times as much as one animal's weights differ from day to day
SHAPE = 3.0  # weight by width of a body that keeps its shape
HAND_BOTH = math.hypot(HAND_WEIGHT, SHAPE * HAND_WIDTH) / 2


@dataclass(frozen=True)
class Lag:
    """One that grows too slowly, by its latest measurement, and why that is said."""

    animal: Animal
    measured_on: Date
    sentences: tuple[str, ...]


def _is_young(animal: Animal, asof: Date) -> bool:
    born = animal.born_on
    return born is not None and 0 <= (asof - born).days <= MOST_DAYS


class Young:
    """One of a litter with what it was measured at, up to a day: widths in mm and weights in g."""

    def __init__(self, animal: Animal, measured: Sequence[Measurement], asof: Date) -> None:
        self.animal, self.asof = animal, asof
        rows = [(one.on, one) for one in measured if one.on is not None and one.on <= asof]
        self.widths = {on: one.disc_width_mm for on, one in rows if one.disc_width_mm}
        self.weights = {on: one.weight_g for on, one in rows if one.weight_g}
        self.measured_on = max((*self.widths, *self.weights), default=None)

    @property
    def is_asked(self) -> bool:
        """Whether it is here, young, and was measured lately."""
        last = self.measured_on
        is_young = _is_young(self.animal, self.asof)
        is_late = last is not None and (self.asof - last).days <= LATELY_DAYS
        return self.animal.is_here and is_young and is_late

    @property
    def log_widths(self) -> Sizes:
        return {on: math.log(mm) for on, mm in self.widths.items()}

    @property
    def log_weights(self) -> Sizes:
        return {on: math.log(grams) for on, grams in self.weights.items()}

    @property
    def log_both(self) -> Sizes:
        """Of weight and width at once: as a weight, of which each tells one half."""
        return {
            on: (math.log(grams) + SHAPE * math.log(self.widths[on])) / 2
            for on, grams in self.weights.items()
            if on in self.widths
        }


def lagging(pups: Sequence[PupReading], *, asof: Date, program: Program) -> list[Lag]:
    """Among these, whoever is here and was measured lately. None of its own; four for a thin one.

    No curve is fitted for the others.
    """
    litters: dict[int, dict[int, Young]] = {}
    for reading in pups:
        if animal := reading.pup.animal:
            young = Young(animal, reading.measured, asof)
            litters.setdefault(reading.pup.litter_id, {})[animal.pk] = young
    asked = [one.animal for litter in litters.values() for one in litter.values() if one.is_asked]
    keys = {one.pk for one in asked}
    measured = [row for one in pups for row in one.measured if row.animal_id in keys]
    growths = growths_of(asked, measured)
    found = []
    for litter in litters.values():
        beside = Beside(litter, program)
        for key, one in litter.items():
            if one.is_asked and one.measured_on:
                said = (*_own(growths.get(key), program.length_unit), *beside.said_of(key))
                found += [Lag(one.animal, one.measured_on, said)] if said else []
    return found


def lag_beside(
    mates: Iterable[Pup], animal: Animal, *, asof: Date, program: Program
) -> tuple[str, ...]:
    """What its page says of it but its own curve, which is drawn there. At most one query.

    mates: the pups of its litter, itself among them, with their animals.
    """
    if not animal.is_here or not _is_young(animal, asof):
        return ()
    animals = [one.animal for one in mates if one.animal is not None]
    measured: dict[int, list[Measurement]] = {one.pk: [] for one in animals}
    for row in measurements_of(measured):
        measured[row.animal_id].append(row)
    litter = {one.pk: Young(one, measured[one.pk], asof) for one in animals}
    is_asked = animal.pk in litter and litter[animal.pk].is_asked
    return tuple(Beside(litter, program).said_of(animal.pk)) if is_asked else ()


class Beside:
    """One litter, and what its measurements say of each beside the others and itself before."""

    def __init__(self, litter: Mapping[int, Young], program: Program) -> None:
        self.litter, self.program = litter, program
        self.widths = {key: one.log_widths for key, one in litter.items()}
        self.weights = {key: one.log_weights for key, one in litter.items()}
        self.both = {key: one.log_both for key, one in litter.items()}
        self._spreads: dict[tuple[float, Date], float] = {}

    def said_of(self, key: int) -> Iterator[str]:
        """Narrow; and thin by its weights, or for its width, or gaining less than the others."""
        one = self.litter[key]
        mates = [mate for other, mate in self.litter.items() if other != key]
        yield from _narrower(one, mates, self.program.length_unit)
        yield from (self._lost(key) or _thinner_for_its_width(one) or self._gained_less(key))

    def _gained_less(self, key: int) -> tuple[str, ...]:
        by_weight = self._less(key, self.weights, HAND_WEIGHT)
        if gain := by_weight or self._less(key, self.both, HAND_BOTH):
            of_width = gain_of(key, self.widths) if not by_weight else None
            return (_less_words(gain, of_width),)
        if self.weights[key]:
            return ()
        gain = self._less(key, self.widths, HAND_WIDTH)
        return (_less_width_words(gain),) if gain else ()

    def _less(self, key: int, sizes: Mapping[int, Sizes], hand: float) -> Gain | None:
        """What it gained, where that is clearly less than the middle one of the others did."""
        gain = gain_of(key, sizes)
        if gain is None or gain.behind < LESS:
            return None
        on = max(sizes[key])
        is_clear = gain.behind >= self._clear(sizes, on, hand)
        is_latest = on == self.litter[key].measured_on
        return gain if is_clear and is_latest else None

    def _clear(self, sizes: Mapping[int, Sizes], on: Date, hand: float) -> float:
        """What is no chance of measuring, as this litter is measured."""
        if (hand, on) not in self._spreads:
            self._spreads[hand, on] = spread_with(sizes, on, hand)
        return LESS_SPREADS * self._spreads[hand, on]

    def _lost(self, key: int) -> tuple[str, ...]:
        """Weight that is gone, from the program's share on: a young one gains, however weighed."""
        one = self.litter[key]
        loss = weight_loss(list(one.weights.items()), asof=one.asof)
        if loss is None or loss.share < self.program.weight_loss_caution:
            return ()
        return (_lost_words(loss, self.program.weight_unit),)


def _own(growth: GrowthReading | None, unit: str) -> Iterator[str]:
    if growth is not None and lags(growth):
        yield lag_words(growth, unit)


def _narrower(one: Young, mates: Sequence[Young], unit: str) -> Iterator[str]:
    """Against those of its litter that were measured on the same day."""
    on = max(one.widths, default=None)
    widths = [mate.widths[on] for mate in mates if on in mate.widths] if on else []
    if on is None or len(widths) < FEW_MATES:
        return
    width, middle = one.widths[on], median(widths)
    if width <= middle * (1 - BEHIND_MATES):
        yield (
            tell(
                "{length} on {day}, {percent} narrower than the middle one of its littermates "
                "({middle}). See that it gets its food, and feed it apart if the others are "
                "quicker.",
                length=length(width, unit),
                day=long_day(on),
                percent=percent(round(1 - width / middle, 2)),
                middle=length(middle, unit),
            )
        )


def _lost_words(loss: WeightLoss, unit: str) -> str:
    """A young one gains from week to week; this one did not."""
    return tell(
        "Lost {percent} of its weight: {before} on {day}, {weight} on {last_day}. Weigh it "
        "again, and look at its food and its water.",
        percent=percent(round(loss.share, 2)),
        before=weight(loss.heaviest_g, unit),
        day=long_day(loss.heaviest_on),
        weight=weight(loss.latest_g, unit),
        last_day=long_day(loss.latest_on),
    )


def _thinner_for_its_width(one: Young) -> tuple[str, ...]:
    """One that still grows wider hides what it loses: held against its own weighings before.

    By the power that the program's own animals tell, and further off than one of them usually is
    from day to day; the fit is asked for only where the published power makes it likely.
    """
    days = sorted(one.widths.keys() & one.weights.keys())
    points = [(on, float(one.widths[on]), float(one.weights[on])) for on in days]
    less = lighter(points, published_pair()[1])
    if less is None or less < THINNER * 0.9 or points[-1][0] != one.measured_on:
        return ()
    usual, least = weighed_program().usual_of(one.animal), THINNER
    if usual is not None and usual.fit.is_enough:
        less = lighter(points, usual.fit.power) or 0.0
        least = max(THINNER, THINNER_SPREADS * usual.fit.spread_of_a_day(points[-1][1] / 10))
    if less < least:
        return ()
    return (
        tell(
            "On {day} it was {percent} lighter for its width than at its {number} weighings "
            "before. Weigh it again in three days, and look at its food and its water.",
            day=long_day(points[-1][0]),
            percent=percent(round(1 - math.exp(-less), 2)),
            number=spelled(THINNER_BEFORE),
        ),
    )


def _less_words(gain: Gain, of_width: Gain | None) -> str:
    """In weight; with the widths beside it, where it takes both to tell."""
    before, since = spelled(gain.before), long_day(gain.since)
    if of_width is None:
        return tell(
            "Since the mean of its {before} earlier weighings (from {since}) its weight has "
            "changed by {own}, that of the middle one of its littermates by {mates}. See that it "
            "gets its food, and weigh it again in three days.",
            before=before,
            since=since,
            own=_change(gain.own),
            mates=_change(gain.mates),
        )
    return tell(
        "Since the mean of its {before} earlier weighings (from {since}) it has gained less in "
        "weight and width together than its littermates: {own} in width, the middle one of them "
        "{mates}. See that it gets its food, and weigh it again in three days.",
        before=before,
        since=since,
        own=_change(of_width.own),
        mates=_change(of_width.mates),
    )


def _less_width_words(gain: Gain) -> str:
    return tell(
        "Since the mean of its {before} earlier measurements (from {since}) its width has changed "
        "by {own}, that of the middle one of its littermates by {mates}. See that it gets its "
        "food, and measure it again in three days.",
        before=spelled(gain.before),
        since=long_day(gain.since),
        own=_change(gain.own),
        mates=_change(gain.mates),
    )


def _change(log: float) -> str:
    """A gain or a loss with its sign.

    >>> _change(0.1), _change(-0.05), _change(0.001)
    ('+11 %', '-5 %', '0 %')
    """
    share = round(math.exp(log) - 1, 2)
    return f"{'+' if share > 0 else '-' if share < 0 else ''}{percent(abs(share))}"
