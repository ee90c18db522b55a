"""Weight for width of the program's own animals; reads, and writes nothing."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import islice

from breeding.animals import lineage
from breeding.animals.growth.carrying import Span, carrying_spans, within
from breeding.animals.growth.measured import every_width
from breeding.animals.growth.weight_for_width import (
    ENOUGH_ANIMALS,
    ENOUGH_POINTS,
    Weighed,
    WeightForWidth,
    fit_weights,
    weight_of_width,
)
from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.animals.species.profiles import all_profiles
from breeding.program.frame.memory import remembered
from breeding.program.kinds import kept_words
from breeding.program.problems.doubts import threshold, thresholds
from breeding.program.unchanged.growing import kept_while_growing

Date = datetime.date
Point = tuple[int, float, float]  # the animal's key, width in cm, weight in g

_UNKNOWN: Mapping[int | None, Fraction] = {None: Fraction(1)}
MOST_ROWS = 1500  # of the latest measurements with both figures that a fit looks at


@dataclass(frozen=True)
class Usual:
    """What animals of a kind weigh for their width here: the fit, and the points it rests on."""

    fit: WeightForWidth
    points: tuple[Point, ...]

    def expected_at(self, width_mm: float) -> float | None:
        """The middle weight in g; None where the own animals do not tell it."""
        is_told = self.fit.is_enough and self.fit.covers(width_mm / 10)
        return self.fit.weight(width_mm / 10) if is_told else None


@dataclass(frozen=True)
class AllWeighed:
    """The points of everybody in order, by kind, and when the females among them carried young."""

    points: Mapping[str, tuple[Point, ...]]
    carrying: Mapping[int, Collection[Span]]


def _weights_on_record() -> AllWeighed:
    """Kept until a weight, an animal or what says that one carried young is written."""
    return kept_while_growing("weights of the program", _read_weights, {})


def _read_weights() -> AllWeighed:
    """The latest ones; females with young left out. What is read for it stays beside a weight."""
    profiles, shares = all_profiles(), lineage.current().shares
    found = list(islice((one for one in every_width() if one.weight_g), MOST_ROWS))
    carrying = carrying_spans({one.animal for one in found if one.sex == Animal.Sex.FEMALE})
    kinds = {key: profiles.of(shares.get(key, {})).key for key in {one.animal for one in found}}
    points: dict[str, list[Point]] = {}
    for _, animal, *_, on, width_mm, grams in found:
        if not within(carrying.get(animal, ()), on):
            points.setdefault(kinds[animal], []).append((animal, width_mm / 10, grams or 0))
    return AllWeighed({kind: tuple(sorted(some)) for kind, some in points.items()}, carrying)


class WeighedProgram:
    """What the program's animals weigh for their width, by kind, and who of them carried young."""

    def __init__(self) -> None:
        self.profiles, self.lineage = all_profiles(), lineage.current()
        found = _weights_on_record()
        self.points: Mapping[str, tuple[Point, ...]] = found.points
        self.carrying: dict[int, Collection[Span]] = dict(found.carrying)
        self._usual: dict[str, Usual | None] = {}
        self._told: dict[str, bool] = {}

    def is_told(self, animal: Animal) -> bool:
        """Whether so many of its kind were weighed that the own fit counts: without fitting it."""
        kind = self._kind(animal)
        if kind not in self._told:
            points = self.points.get(kind, ())
            animals = {key for key, *_ in points}
            self._told[kind] = len(points) >= ENOUGH_POINTS and len(animals) >= ENOUGH_ANIMALS
        return self._told[kind]

    def usual_of(self, animal: Animal) -> Usual | None:
        """Of its kind; None where nobody of it was weighed and measured at once."""
        kind = self._kind(animal)
        if kind not in self._usual:
            points = self.points.get(kind, ())
            fit = _fitted(points) if points else None
            self._usual[kind] = Usual(fit, points) if fit else None
        return self._usual[kind]

    def may_carry(self, animal: Animal, on: Date | None) -> bool:
        """Whether it is a female that carried young then, or may have."""
        if animal.sex != Animal.Sex.FEMALE:
            return False
        self.learn_carrying([animal])
        return within(self.carrying[animal.pk], on)

    def learn_carrying(self, animals: Iterable[Animal]) -> None:
        """When the females among these carried young: at once for all that are not known yet."""
        asked = {one.pk for one in animals if one.sex == Animal.Sex.FEMALE} - self.carrying.keys()
        if asked:
            self.carrying |= carrying_spans(asked)

    def _kind(self, animal: Animal) -> str:
        """By its parents as they stand on it: it may be younger than what was read here."""
        known, key = self.lineage, animal.pk
        if key in known.shares and _has_its_parents(animal, known):
            return self.profiles.of(known.shares[key]).key
        mixed: dict[int | None, Fraction] = defaultdict(Fraction)
        for parent in (animal.sire_id, animal.dam_id):
            for species, share in known.shares.get(parent or 0, _UNKNOWN).items():
                mixed[species] += share / 2
        return self.profiles.of(mixed).key


def _has_its_parents(animal: Animal, known: Lineage) -> bool:
    """Whether the lineage has it with those that stand on it; possible sires do not."""
    sires = known.pedigree.sires(animal.pk)
    is_his = sires.get(animal.sire_id) == 1 if animal.sire_id else 1 not in sires.values()
    return is_his and known.pedigree.dam(animal.pk) == animal.dam_id


def weighed_program() -> WeighedProgram:
    """As it stood when this request first asked: read once, however many rows a table brings."""
    held = _of_a_table.get()
    if held is None:
        return remembered("weighed program", WeighedProgram)
    if not held:
        held.append(WeighedProgram())
    return held[0]


_of_a_table: ContextVar[list[WeighedProgram] | None] = ContextVar("of a table", default=None)


@contextmanager
def weighed_before() -> Iterator[None]:
    """What a table brings is held against what was weighed before it, by whatever acts it is
    written: each of its rows is asked of the same."""
    token = _of_a_table.set([])
    try:
        yield
    finally:
        _of_a_table.reset(token)


@lru_cache(maxsize=16)
def _fitted(points: tuple[Point, ...]) -> WeightForWidth | None:
    """Kept by its very content, so that no other process can make it wrong."""
    of: dict[int, list[tuple[float, float]]] = {}
    for key, width, grams in points:
        of.setdefault(key, []).append((width, grams))
    weighed = [
        Weighed(tuple(width for width, _ in pairs), tuple(grams for _, grams in pairs))
        for pairs in of.values()
    ]
    factor, power = published_pair()
    return fit_weights(weighed, factor=factor, power=power)


def published_pair() -> tuple[float, float]:
    """Factor and power of the one pair that is published, for a width in cm and g."""
    return threshold("weight_of_width_factor"), threshold("weight_of_width_power")


def is_published_for_these() -> bool:
    """Whether the pair is of animals that are measured as these are."""
    measured_by = thresholds()["weight_of_width_factor"]["of"]
    return bool(measured_by == kept_words().size or kept_words().has_spine)


def expected_weight_g(animals: Collection[Animal], widths: Mapping[int, float]) -> dict[int, float]:
    """What each weighs for its width in mm, in g: by the program's own animals, else published.

    widths: by the animal's key; who is not in it is left out, and so is whoever neither tells of.
    Four queries for all.
    """
    program = weighed_program()
    found: dict[int, float] = {}
    for animal in animals:
        if not (width := widths.get(animal.pk)):
            continue
        usual = program.usual_of(animal)
        grams = usual.expected_at(width) if usual else None
        if grams is None and is_published_for_these():
            grams = weight_of_width(width / 10, *published_pair())
        if grams is not None:
            found[animal.pk] = grams
    return found
