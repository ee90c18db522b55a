"""The plan for a season: which male for which female, why, and how far other choices are behind."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal, Revision
from breeding.animals.parents.descent import (
    inbred_young,
    open_kin_of_pairs,
    short_inbreeding_of_young,
)
from breeding.litters.size import usual_litter
from breeding.planning.crosses import mixed_said
from breeding.planning.kinship_table import shared_names
from breeding.planning.models import PlannedPairing
from breeding.planning.season.ancestors import places_of_young
from breeding.planning.season.asked import asked_of
from breeding.planning.season.colliding import can_hold, colliding
from breeding.planning.season.fitness import too_wide, widest_male
from breeding.planning.season.priced import BEYOND_TIES, Priced, priced
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.reasons import Line, reason_of, thin_lines
from breeding.planning.season.row import PlannedRow, in_order, with_tanks
from breeding.planning.season.solving import Solved, solved, with_the_living
from breeding.planning.season.told.already import planned_with
from breeding.planning.season.told.begin import begin_of
from breeding.planning.season.told.instead import (
    Tables,
    better_for_her,
    instead_of,
    next_best,
    none_for_her,
)
from breeding.planning.season.wishes import Asked, Bools, Wishes
from breeding.program.unchanged.growing import kept_from_page_to_page
from breeding.program.unchanged.marks import rests_on
from breeding.words.descent.diversity import compared_words, cost_words, measure_words
from breeding.words.descent.kin import closeness
from breeding.words.language import tell, tell_many
from breeding.words.numbers import percent, points
from pedigree import Inbred, LivingKinship
from pedigree.plans.allocation import Choice, Pairs, Plan
from pedigree.plans.optimal_contributions import diversity_gained
from pedigree.rows import Floats


@dataclass(frozen=True)
class SeasonPlan:
    """The best allocation and what it is compared with."""

    rows: tuple[PlannedRow, ...]  # in the order in which they are worth making
    proven: bool
    mean: float  # expected F of the young
    mean_could_be: float
    second_best: str
    lowest_first: str
    plan: Plan
    tables: Tables
    thin_lines: int  # founders' lines that are nearly lost and go through these animals
    litter: int  # young of a litter, as its effect on the program is reckoned
    are_few: bool  # fewer than could be paired: those that are worth most

    @cached_property
    def namesakes(self) -> frozenset[str]:
        """Names that two of them share."""
        return shared_names([one.animal for row in self.rows for one in (row.female, row.male)])

    @property
    def measure(self) -> str:
        """What points of gene diversity are worth here."""
        return measure_words(self.tables.diversity)

    @property
    def on_record(self) -> Floats:
        """F of the young of each female (row) with each male (column)."""
        return self.tables.prices.on_record

    @property
    def closest(self) -> PlannedRow:
        return max(self.rows, key=lambda row: row.ends[1])


def season_plan(
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    wishes: Wishes,
    known: Lineage,
    living: Sequence[int],
    *,
    today: datetime.date,
    rest_days: int = 0,
    free_tanks: Sequence[str] = (),
    chances: Floats | None = None,
    waiting: Sequence[PlannedPairing] = (),
) -> SeasonPlan:
    """The best plan, by F alone with a proof; with diversity in it, by `solved`.

    Then, where all that can be paired are, which animals are used how often is found by search;
    where there is room for fewer, whom to take is proven too, each litter weighed by itself. Who
    goes with whom of these is proven.
    A male too wide for a female is not given to her, unless these two are asked for by hand.
    Raises WishesCollide (which do, and what to loosen) and LineageError (a value that cannot be).
    The plan is kept while the same are asked for the same, and no animal, parent or figure is
    written; how its animals are is told as of now.

    `living`: keys of all living animals, whose diversity counts; it takes in the candidates.
    `chances` (females, males), 0 to 1: of the trait that is wished for, in their young.
    `waiting`: pairings that are planned already, which are said beside those of the plan.
    """
    hers, his = ({one.animal.pk: one for one in some} for some in (females, males))
    wide = _too_wide(females, males)
    litter = usual_litter(today).young
    sent = (tuple(hers), tuple(his), tuple(living), wide.tobytes(), litter)
    asked = None if chances is None else chances.tobytes()

    def make() -> SeasonPlan:
        rests_on(Animal, Revision)
        return _best_plan(
            *(females, males, wishes, known, living, wide),
            today=today,
            litter=litter,
            chances=chances,
        )

    kept = kept_from_page_to_page(
        ("season's plan", sent, wishes, asked, today), make, alike="season's plan"
    )

    def as_of_now(row: PlannedRow) -> PlannedRow:
        """What may be another without another plan: how the two are, and when they are free."""
        female, male = hers[row.female.animal.pk], his[row.male.animal.pk]
        return replace(
            row,
            female=female,
            male=male,
            begin=begin_of(female, male, today, rest_days),
            sizes_unknown=is_too_wide(female, male) is None,
            also=tuple(
                tell("{animal} is planned already {said}", animal=one.animal.name, said=said)
                for one in (female, male)
                for said in planned_with(one.animal, waiting, today)
            ),
        )

    return replace(kept, rows=with_tanks(in_order(map(as_of_now, kept.rows)), free_tanks))


def _best_plan(
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    wishes: Wishes,
    known: Lineage,
    living: Sequence[int],
    wide: Bools,
    *,
    today: datetime.date,
    litter: int,
    chances: Floats | None,
) -> SeasonPlan:
    """Of the candidates only who they are counts; of how they are, only who is too wide."""
    kinship = LivingKinship.of(known.pedigree, list(living))
    hers, his = ([one.animal.pk for one in some] for some in (females, males))
    prices = priced(known, hers, his, wishes)
    table = prices.on_record
    asked = asked_for(females, males, wishes, known, table, chances, wide)
    if not can_hold(asked, asked.binding):
        raise colliding(asked)
    gained = diversity_gained(kinship, hers, his, litter)

    means = with_the_living(kinship, [*hers, *his])

    def solve(one: Asked) -> Solved:
        return solved(one, prices, gained, means, len(living), litter)

    plan, least, are_few = solve(asked)
    pairs = [(hers[one.female], his[one.male]) for one in plan.reasons]
    lines = thin_lines(known, list(living))
    tables = Tables(asked, prices, gained, asked.allowed, kinship.gene_diversity)
    told = _Told(
        known,
        today,
        tables,
        dict(zip([*hers, *his], means.tolist(), strict=True)),
        lines,
        _names(females, males, lines),
        open_kin_of_pairs(known, pairs),
        dict(instead_of(plan.pairs, tables, lambda one: solve(one).plan.pairs)),
        plan.pairs,
    )
    listed = [_row(choice, females, males, told) for choice in plan.reasons]
    return SeasonPlan(
        rows=tuple(listed),
        proven=plan.proven,
        mean=_mean(table, plan.pairs),
        mean_could_be=_mean(prices.could_be, plan.pairs),
        second_best=_second_best(plan, wishes),
        lowest_first=_lowest_first(plan, least, prices),
        plan=plan,
        tables=tables,
        thin_lines=len({lines[pk].founder for pk in (*hers, *his) if pk in lines}),
        litter=litter,
        are_few=are_few,
    )


def asked_for(
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    wishes: Wishes,
    known: Lineage,
    on_record: Floats,
    chances: Floats | None = None,
    wide: Bools | None = None,
) -> Asked:
    """The wishes as tables; a male too wide for a female is not given to her."""
    hers, his = ([one.animal for one in some] for some in (females, males))
    wide = _too_wide(females, males) if wide is None else wide
    return asked_of(hers, his, wishes, on_record, known, wide, chances)


def _too_wide(females: Sequence[Candidate], males: Sequence[Candidate]) -> Bools:
    """(females, males): where he is known to be too wide for her."""
    his = np.array([one.disc_width_mm or 0 for one in males], np.float64)
    most = [widest_male(one.disc_width_mm, one.figures) or np.inf for one in females]
    found: Bools = his > np.array(most, np.float64)[:, None]
    return found


def _names(
    females: Sequence[Candidate], males: Sequence[Candidate], lines: Mapping[int, Line]
) -> dict[int, str]:
    """Of these and of the founders that are told of: at most one query."""
    names = {one.animal.pk: one.animal.name for one in (*females, *males)}
    founders = {line.founder for pk, line in lines.items() if pk in names} - names.keys()
    if founders:
        names |= {pk: one.name for pk, one in Animal.every.in_bulk(founders).items()}
    return names


@dataclass(frozen=True)
class _Told:
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

    def trait_chance(self, at: tuple[int, int]) -> float | None:
        asked = self.tables.asked
        is_wished = asked.wishes.trait is not None and asked.chances is not None
        return float(asked.chances[at]) if is_wished and asked.chances is not None else None


def _row(
    choice: Choice, females: Sequence[Candidate], males: Sequence[Candidate], told: _Told
) -> PlannedRow:
    female, male, at = females[choice.female], males[choice.male], (choice.female, choice.male)
    tables, prices, known = told.tables, told.tables.prices, told.known
    keys = (female.animal.pk, male.animal.pk)
    figure = inbred_young(known, male.animal.pk, female.animal.pk)
    other = next_best(tables, *at)
    chance = told.trait_chance(at)
    trait = tables.asked.wishes.trait if chance is not None else None
    trait_words = trait.of_pair(chance) if trait and chance is not None else ""
    has_trait = bool(trait and chance is not None and trait.is_met(chance))
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
        reason=trait_words
        if has_trait
        else reason_of(
            *keys,
            told.lines,
            told.names,
            gained=gained,
            is_unsaid=tables.is_unsaid(at),
            are_kin=bool(prices.on_record[at] > 0),
            mean_kinship=told.mean_kinship,
            usual=1 - tables.diversity,
        ),
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


def _second_best(plan: Plan, wishes: Wishes) -> str:
    """Of the plans that were compared: with diversity in it, those of just these animals."""
    behind = plan.second_best_behind
    if behind == float("inf"):
        if wishes.diversity:
            return tell(
                "There is no other way to pair just these animals that meets your wishes; with "
                "other animals there may be, as is said under “Why these two”."
            )
        return tell("There is no other plan of as many pairings that meets your wishes.")
    if behind <= BEYOND_TIES:
        return tell("Another plan is just as good; this is one of the best.")
    return tell(
        "The second best plan has {points} points of F more over all its pairings.",
        points=points(behind),
    )


def _lowest_first(plan: Plan, least: Plan, prices: Priced) -> str:
    """How taking the pair of lowest F first, again and again, compares on both counts."""
    other = least.lowest_first
    if len(other.pairs) < len(plan.pairs):
        return tell_many(
            "Taking the pair of lowest F first, then the next, and so on, would end with {number} "
            "pairing instead of {planned}.",
            "Taking the pair of lowest F first, then the next, and so on, would end with {number} "
            "pairings instead of {planned}.",
            len(other.pairs),
            planned=len(plan.pairs),
        )
    mean_here, mean = (_mean(prices.on_record, pairs) for pairs in (plan.pairs, other.pairs))
    mine, its = (_kept(prices, pairs) for pairs in (plan.pairs, other.pairs))
    if abs(mean - mean_here) <= 1e-12 and abs(mine - its) <= 1e-12:
        return tell(
            "Taking the pair of lowest F first, then the next, and so on, would come to the same "
            "here."
        )
    return tell(
        "Taking the pair of lowest F first, then the next, and so on, would give a mean F of "
        "{mean} instead of {mean_here}, and young that keep {kept} of the gene diversity instead "
        "of {kept_here}.",
        mean=percent(mean),
        mean_here=percent(mean_here),
        kept=percent(its),
        kept_here=percent(mine),
    )


def _mean(table: Floats, pairs: Pairs) -> float:
    return sum(float(table[pair]) for pair in pairs) / len(pairs) if pairs else 0.0


def _kept(prices: Priced, pairs: Pairs) -> float:
    """Gene diversity of very many young of these pairs, as many of each: 1 - c'Kc."""
    shares = np.zeros(len(prices.among))
    for row, column in pairs:
        shares[prices.rows[row]] += 0.5 / len(pairs)
        shares[prices.columns[column]] += 0.5 / len(pairs)
    return 1 - float(shares @ prices.among @ shares)
