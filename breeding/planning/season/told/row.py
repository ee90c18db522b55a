"""What is told of each pairing of the season's plan: its figures, why it is worth making, and whom
else there would be.
"""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.animals.parents.descent import inbred_young, short_inbreeding_of_young
from breeding.planning.crosses import mixed_said
from breeding.planning.season.ancestors import places_of_young
from breeding.planning.season.fitness import too_wide
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.reasons import Line, reason_of
from breeding.planning.season.row import PlannedRow
from breeding.planning.season.told.begin import begin_of
from breeding.planning.season.told.instead import Tables, better_for_her, next_best, none_for_her
from breeding.words.descent.diversity import compared_words, cost_words
from breeding.words.descent.kin import closeness
from pedigree import Inbred
from pedigree.plans.allocation import Choice, Pairs


@dataclass(frozen=True)
class Telling:
    """What every row is told with."""

    known: Lineage
    today: datetime.date
    tables: Tables
    mean_kinship: Mapping[int, float]
    lines: Mapping[int, Line]
    names: Mapping[int, str]
    open_kin: Mapping[tuple[int, int], str]
    instead: Mapping[tuple[int, int], tuple[str, ...]]
    pairs: Pairs

    @cached_property
    def compared_with(self) -> tuple[float, float, int]:
        """Gene diversity after a litter of the best of the pairs that may be made, and of the
        middle one; and how many there are."""
        gained = self.tables.gained[self.tables.allowed]
        if not gained.size:
            return 0.0, 0.0, 0
        before = self.tables.diversity
        return before + float(gained.max()), before + float(np.median(gained)), gained.size

    def trait(self, at: tuple[int, int]) -> tuple[str, bool]:
        """What young of these two will be of the trait that is wished for, and whether with the
        chance that is asked; nothing where none is."""
        asked = self.tables.asked
        if asked.wishes.trait is None or asked.chances is None:
            return "", False
        chance = float(asked.chances[at])
        return asked.wishes.trait.of_pair(chance), asked.wishes.trait.is_met(chance)

    def reason(self, keys: tuple[int, int], at: tuple[int, int]) -> str:
        """Why these two are worth making beside what is wished for."""
        return reason_of(
            *keys,
            self.lines,
            self.names,
            gained=float(self.tables.gained[at]),
            is_unsaid=self.tables.is_unsaid(at),
            are_kin=bool(self.tables.prices.on_record[at] > 0),
            mean_kinship=self.mean_kinship,
            usual=1 - self.tables.diversity,
        )


def row_of(
    choice: Choice, females: Sequence[Candidate], males: Sequence[Candidate], told: Telling
) -> PlannedRow:
    """A pairing of the plan, told as of now."""
    female, male, at = females[choice.female], males[choice.male], (choice.female, choice.male)
    tables, prices, known = told.tables, told.tables.prices, told.known
    keys = (female.animal.pk, male.animal.pk)
    figure = inbred_young(known, male.animal.pk, female.animal.pk)
    other = next_best(tables, *at)
    trait_words, has_trait = told.trait(at)
    gained = float(tables.gained[at])
    after = tables.diversity + gained
    best, usual, number = told.compared_with
    return PlannedRow(
        female=female,
        male=male,
        inbreeding=float(prices.on_record[at]),
        inbreeding_words=short_inbreeding_of_young(known, male.animal.pk, female.animal.pk),
        closeness=closeness(float(prices.on_record[at])),
        span=_span(figure),
        gained=gained,
        cost=cost_words(tables.diversity, after),
        compared=compared_words(tables.diversity, after, best=best, usual=usual, number=number),
        is_must=choice.required,
        begin=begin_of(female, male, told.today, 0),  # as of now, and so are those who rest
        better=better_for_her(tables, at, choice.lowest, told.pairs),
        none_else=none_for_her(tables, *at) if other is None else "",
        instead=told.instead.get(at, ()),
        open_kin=told.open_kin.get(keys, ""),
        sizes_unknown=is_too_wide(female, male) is None,
        hybrids=mixed_said(female.animal, male.animal, known.shares),
        mixes_strains=bool(tables.asked.across_strains[at]),
        ancestors=places_of_young(known, male.animal.pk, female.animal.pk),
        least=float(prices.least[at]),
        could_be=float(prices.could_be[at]),
        unknown=float(prices.unknown[at]),
        trait_words=trait_words,
        has_trait=has_trait,
        reason=trait_words if has_trait else told.reason(keys, at),
        next_best=None if other is None else males[other].animal,
        next_inbreeding=0.0 if other is None else tables.inbreeding((at[0], other)),
    )


def _span(figure: Inbred) -> tuple[float, float] | None:
    ways = figure.ways
    if ways is None or not ways.cases or ways.lowest[0] == ways.highest[0]:
        return None
    return ways.lowest[0], ways.highest[0]


def is_too_wide(female: Candidate, male: Candidate) -> bool | None:
    """Whether he is too large for her; None: nobody knows."""
    return too_wide(male.disc_width_mm, female.disc_width_mm, female.figures)


def names_told(
    females: Sequence[Candidate], males: Sequence[Candidate], lines: Mapping[int, Line]
) -> dict[int, str]:
    """Of these and of the founders that are told of: at most one query."""
    names = {one.animal.pk: one.animal.name for one in (*females, *males)}
    founders = {line.founder for pk, line in lines.items() if pk in names} - names.keys()
    if founders:
        names |= {pk: one.name for pk, one in Animal.every.in_bulk(founders).items()}
    return names
