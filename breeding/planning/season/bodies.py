"""What is measured of animals that may be bred, and what stands against two of them by it."""

import datetime
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Protocol

from django.db.models import F

from breeding.animals import lineage
from breeding.animals.models import Animal, Measurement
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.planning.season.fitness import Body, Width, fitness, too_wide, wider_words
from breeding.program.models import Program
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import read_of
from breeding.words.language import tell
from breeding.words.numbers import joined

Date = datetime.date


class Bodies:
    """Age, width and condition of these animals by the figures of their species: read once."""

    def __init__(self, animals: Collection[int]) -> None:
        profiles, shares = all_profiles(), lineage.current().shares
        self._figures = {key: profiles.of(shares.get(key, {})) for key in animals}
        self._widths: dict[int, Width] = {}
        self._conditions: dict[int, tuple[int, Date | None]] = {}
        # The latest of each; one of an unknown day counts only alone.
        in_order = (F("on").asc(nulls_first=True), "pk")
        for row in read_of(Measurement.objects.order_by(*in_order), "animal", animals):
            if row.disc_width_mm:
                self._widths[row.animal_id] = Width(row.disc_width_mm, row.on)
            if row.condition:
                self._conditions[row.animal_id] = row.condition, row.on

    def figures_of(self, animal: int) -> Figures:
        return self._figures[animal]

    def of(self, one: Animal, on: Date) -> Body:
        """As it is on a day, without marks, rest and holds: a width that it has outgrown by then
        is not its width any more."""
        width, outgrown = self._widths.get(one.pk), None
        if width and width.is_outgrown(one.sex, self._figures[one.pk], on):
            width, outgrown = None, width
        condition, condition_on = self._conditions.get(one.pk, (None, None))
        return Body(
            one.sex,
            one.born_on,
            width.mm if width else None,
            condition,
            condition_on,
            outgrown=outgrown,
        )


class OfPair(Protocol):
    """One of two that may be put together."""

    @property
    def animal(self) -> Animal: ...
    @property
    def body(self) -> Body: ...
    @property
    def figures(self) -> Figures: ...


@dataclass(frozen=True)
class Bare:
    """One animal by its age, width and condition alone: without marks, rest and holds."""

    animal: Animal
    body: Body
    figures: Figures = field(repr=False)


def doubts_of_pair(female: OfPair, male: OfPair, *, on: Date, unit: str) -> Iterator[Doubt]:
    """Why one of the two is not fit to breed on a day, or he too large for her: with a reason."""
    for one in (female, male):
        unfit = fitness(one.body, one.figures, today=on, unit=unit).unfit
        if unfit:
            words = tell(
                "Not fit to breed: {animal} {reasons}.",
                animal=one.animal.name,
                reasons=joined(list(unfit)),
            )
            yield Doubt(words, needs_reason=True)
    his, hers = male.body.disc_width_mm, female.body.disc_width_mm
    if his and hers and too_wide(his, hers, female.figures):
        names = male.animal.name, his, female.animal.name, hers
        yield Doubt(wider_words(*names, female.figures, unit) + ".", needs_reason=True)


class PairsInTurn:
    """`doubts_of_pair` of any two of these on any days, without marks, rest and holds; all that was
    measured of them is read once."""

    def __init__(self, animals: Mapping[int, Animal], program: Program) -> None:
        self._unit, self._bodies = program.length_unit, Bodies(animals)

    def __call__(self, female: Animal, male: Animal, on: Date) -> list[Doubt]:
        hers, his = self._bare(female, on), self._bare(male, on)
        return list(doubts_of_pair(hers, his, on=on, unit=self._unit))

    def _bare(self, one: Animal, on: Date) -> Bare:
        return Bare(one, self._bodies.of(one, on), self._bodies.figures_of(one.pk))
