"""Pairs whose young have a wished trait at once, in words: F, what else these may be, and when."""

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.text import capfirst

from breeding.animals.lineage import Lineage
from breeding.animals.parents.unknown import possible_among
from breeding.planning.crosses import could_be_said, mixed_said
from breeding.planning.season.nearest import DirectWay
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.told.begin import Kind, begin_of
from breeding.planning.season.trait_wish import TraitWish
from breeding.planning.season.wishes import Wishes
from breeding.traits.said import chance_of
from breeding.words.language import sentences, tell
from breeding.words.numbers import joined, percent
from pedigree.rows import Floats


@dataclass(frozen=True)
class Around:
    """What is asked, and what holds for all. of_litter: over females (rows) and males, the chance
    that of so many young one has the trait; None where it is wished for of a litter anyway."""

    wishes: Wishes
    known: Lineage
    today: datetime.date
    rest_days: int
    litter: int
    of_litter: Floats | None = None


def direct_ways(
    ways: Sequence[DirectWay],
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    around: Around,
) -> tuple[str, ...]:
    """Each way in a few sentences. Cost: that of the ancestors of these pairs."""
    pairs = [(females[one.row], males[one.column]) for one in ways]
    keys = list(dict.fromkeys(one.animal.pk for pair in pairs for one in pair))
    if not keys:
        return ()
    possible = possible_among(around.known, keys, around.wishes.unknown_kin)
    said = []
    for way, (female, male) in zip(ways, pairs, strict=True):
        could_be = float(possible[keys.index(female.animal.pk), keys.index(male.animal.pk)])
        said.append(sentences(*_of_way(way, female, male, could_be, around)))
    return tuple(said)


def _of_way(
    way: DirectWay, female: Candidate, male: Candidate, could_be: float, around: Around
) -> Iterator[str]:
    mixed = mixed_said(female.animal, male.animal, around.known.shares)
    against = [*([mixed] if way.is_across else []), *way.against]
    values = {"female": female.animal.name, "male": male.animal.name}
    values |= {"chance": chance_of(way.chance), "inbreeding": percent(way.inbreeding)}
    values["reasons"] = joined(against) if against else ""
    if not against:
        yield tell("{female} with {male}: {chance}, F {inbreeding}.", **values)
    elif way.is_too_close:
        yield tell("{female} with {male}: {chance}, but {reasons}.", **values)
    else:
        yield tell("{female} with {male}: {chance}, F {inbreeding}, but {reasons}.", **values)
    yield could_be_said(male.animal, way.inbreeding, could_be)
    if mixed and not way.is_across:
        yield f"{capfirst(mixed)}."
    yield _when(way, female, male, around)


def _when(way: DirectWay, female: Candidate, male: Candidate, around: Around) -> str:
    """By when their first litter is there, and whether one of it has the trait.

    From the first day on which the two are free and fit to breed, and the longest gestation to
    allow for: the figures by which a trait that only carriers have is reckoned as well.
    """
    begin = begin_of(female, male, around.today, around.rest_days)
    if begin.kind is Kind.OPEN:
        return tell("Nobody can say yet when they can be paired.")
    there = begin.on + datetime.timedelta(days=female.figures.gestation_longest_days)
    wish: TraitWish | None = around.wishes.trait
    if around.of_litter is None or wish is None:
        return tell("Their first litter can be there in {year}.", year=f"{there.year}")
    values = {
        "year": f"{there.year}",
        "young": f"{around.litter}",
        "chance": chance_of(float(around.of_litter[way.row, way.column])),
    }
    if wish.look == "shows":
        return tell(
            "Their first litter can be there in {year}; of {young} young at least one shows it "
            "with {chance}.",
            **values,
        )
    return tell(
        "Their first litter can be there in {year}; of {young} young at least one has it, shown "
        "or carried, with {chance}.",
        **values,
    )
