"""The plan for a season: which male for which female, why, and how far other choices are behind."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal, Revision
from breeding.animals.parents.descent import (
    inbred_young,
    open_kin_of_pairs,
    short_inbreeding_of_young,
)
from breeding.planning.kinship_table import shared_names
from breeding.planning.season.ancestors import places_of_young
from breeding.planning.season.asked import asked_of
from breeding.planning.season.colliding import can_hold, colliding
from breeding.planning.season.fitness import too_wide, widest_male
from breeding.planning.season.free_from import after_birth
from breeding.planning.season.priced import BEYOND_TIES, Priced, priced
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.reasons import Line, reason_of, thin_lines
from breeding.planning.season.row import PlannedRow, in_order, with_tanks
from breeding.planning.season.solving import solved
from breeding.planning.season.trait_wish import TraitWish
from breeding.planning.season.wishes import Asked, Bools, Wishes
from breeding.program.unchanged.growing import kept_from_page_to_page
from breeding.program.unchanged.marks import rests_on
from breeding.words.kin import closeness
from breeding.words.language import tell, tell_many
from breeding.words.numbers import percent, points, told_apart
from pedigree import Inbred, LivingKinship
from pedigree.plans.allocation import Choice, Pairs, Plan
from pedigree.plans.optimal_contributions import diversity_gained
from pedigree.rows import Floats

LITTER = 6


@dataclass(frozen=True)
class SeasonPlan:
    """The best allocation and what it is compared with."""

    rows: tuple[PlannedRow, ...]  # in the order in which they are worth making
    left_out: tuple[Candidate, ...]
    proven: bool
    mean: float  # expected F of the young
    mean_could_be: float
    second_best: str
    lowest_first: str
    plan: Plan
    on_record: Floats  # F of the young of each female (row) with each male (column)
    thin_lines: int  # founders' lines that are nearly lost and go through these animals

    @property
    def namesakes(self) -> frozenset[str]:
        """Names that two of them share."""
        return shared_names([one.animal for row in self.rows for one in (row.female, row.male)])

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
) -> SeasonPlan:
    """The best plan, by F alone with a proof; with diversity in it, by `balanced_plan`.

    Then which animals are used how often is found by search, and who goes with whom is proven.
    A male too wide for a female is not given to her, unless these two are asked for by hand.
    Raises WishesCollide (which do, and what to loosen) and LineageError (a value that cannot be).
    The plan is kept while the same are asked for the same, and no animal, parent or figure is
    written; how its animals are is told as of now.

    `living`: keys of all living animals, whose diversity counts; it takes in the candidates.
    `chances` (females, males), 0 to 1: of the trait that is wished for, in their young.
    """
    hers, his = ({one.animal.pk: one for one in some} for some in (females, males))
    wide = _too_wide(females, males)
    sent = (tuple(hers), tuple(his), tuple(living), wide.tobytes())
    asked = None if chances is None else chances.tobytes()

    def make() -> SeasonPlan:
        rests_on(Animal, Revision)
        return _best_plan(females, males, wishes, known, living, wide, today=today, chances=chances)

    kept = kept_from_page_to_page(
        ("season's plan", sent, wishes, asked, today), make, alike="season's plan"
    )
    rows = [
        _as_of_now(row, hers[row.female.animal.pk], his[row.male.animal.pk], today, rest_days)
        for row in kept.rows
    ]
    taken = {row.female.animal.pk for row in rows}
    return replace(
        kept,
        rows=with_tanks(rows, free_tanks),
        left_out=tuple(one for pk, one in hers.items() if pk not in taken),
    )


def _as_of_now(
    row: PlannedRow, female: Candidate, male: Candidate, today: datetime.date, rest_days: int
) -> PlannedRow:
    """What may be another without another plan: how the two are, and when they are free."""
    return replace(
        row,
        female=female,
        male=male,
        not_before=earliest(female, male, today, rest_days),
        sizes_unknown=is_too_wide(female, male) is None,
    )


def _best_plan(
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    wishes: Wishes,
    known: Lineage,
    living: Sequence[int],
    wide: Bools,
    *,
    today: datetime.date,
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
    gained = diversity_gained(kinship, hers, his, LITTER)
    plan, least = solved(asked, prices, gained)
    pairs = [(hers[one.female], his[one.male]) for one in plan.reasons]
    unsaid = open_kin_of_pairs(known, pairs)
    lines = thin_lines(known, list(living))
    told = _Told(
        known,
        today,
        kinship.gene_diversity,
        asked.across_species,
        prices,
        plan.rules.allowed(plan.rules.given),
        lines,
        _names(females, males, lines),
        wishes.trait,
        asked.chances,
    )
    listed = [
        _row(
            choice,
            females,
            males,
            told,
            float(gained[choice.female, choice.male]),
            unsaid.get((hers[choice.female], his[choice.male]), ""),
        )
        for choice in plan.reasons
    ]
    return SeasonPlan(
        rows=tuple(in_order(listed)),
        left_out=(),
        proven=plan.proven,
        mean=_mean(table, plan.pairs),
        mean_could_be=_mean(prices.could_be, plan.pairs),
        second_best=_second_best(plan),
        lowest_first=_lowest_first(plan, least, prices),
        plan=plan,
        on_record=table,
        thin_lines=len({lines[pk].founder for pk in (*hers, *his) if pk in lines}),
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
    diversity: float
    across_species: Bools
    prices: Priced
    allowed: Bools
    lines: Mapping[int, Line]
    names: Mapping[int, str]
    trait: TraitWish | None
    chances: Floats | None

    def trait_chance(self, at: tuple[int, int]) -> float | None:
        return None if self.trait is None or self.chances is None else float(self.chances[at])


def _row(
    choice: Choice,
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    told: _Told,
    gained: float,
    open_kin: str,
) -> PlannedRow:
    female, male, at = females[choice.female], males[choice.male], (choice.female, choice.male)
    prices = told.prices
    figure = inbred_young(told.known, male.animal.pk, female.animal.pk)
    other = _next_best(told, *at)
    has_better = not choice.required and choice.lowest != choice.male
    chance = told.trait_chance(at)
    trait = told.trait if chance is not None else None
    trait_words = trait.of_pair(chance) if trait and chance is not None else ""
    has_trait = bool(trait and chance is not None and trait.is_met(chance))
    return PlannedRow(
        female=female,
        male=male,
        inbreeding=float(prices.on_record[at]),
        inbreeding_words=short_inbreeding_of_young(told.known, male.animal.pk, female.animal.pk),
        closeness=closeness(float(prices.on_record[at])),
        span=_span(figure),
        gained=gained,
        diversity=told_apart(told.diversity, told.diversity + gained),
        adds=_finite(choice.change),
        better=males[choice.lowest].animal.name if has_better else "",
        better_adds=_finite(choice.lowest_change) if has_better else None,
        is_must=choice.required,
        not_before=told.today,
        open_kin=open_kin,
        is_across=bool(told.across_species[at]),
        ancestors=places_of_young(told.known, male.animal.pk, female.animal.pk),
        least=float(prices.least[at]),
        could_be=float(prices.could_be[at]),
        unknown=float(prices.unknown[at]),
        trait_words=trait_words,
        has_trait=has_trait,
        reason=trait_words
        if has_trait
        else reason_of(
            female.animal.pk,
            male.animal.pk,
            told.lines,
            told.names,
            gained=gained,
            is_unsaid=not prices.on_record[at] and bool(prices.could_be[at] > 0),
        ),
        next_best=None if other is None else males[other].animal,
        next_inbreeding=0.0 if other is None else float(prices.on_record[at[0], other]),
    )


def _next_best(told: _Told, row: int, column: int) -> int | None:
    """The male of lowest F for her beside this one, as the plan reckons; None: nobody else."""
    cost = np.where(told.allowed[row], told.prices.cost[row], np.inf)
    cost[column] = np.inf
    best = int(cost.argmin())
    return best if np.isfinite(cost[best]) else None


def _span(figure: Inbred) -> tuple[float, float] | None:
    ways = figure.ways
    if ways is None or not ways.cases or ways.lowest[0] == ways.highest[0]:
        return None
    return ways.lowest[0], ways.highest[0]


def _finite(change: float) -> float | None:
    """What a change costs; nothing is nothing, and None what cannot be."""
    if change == float("inf"):
        return None
    return 0.0 if change <= BEYOND_TIES else change


def is_too_wide(female: Candidate, male: Candidate) -> bool | None:
    """Whether he is too large for her; None: nobody knows."""
    return too_wide(male.disc_width_mm, female.disc_width_mm, female.figures)


def earliest(
    female: Candidate, male: Candidate, today: datetime.date, rest_days: int
) -> datetime.date:
    """From when on the two can be paired: both free and fit, as far as that can be told."""
    days = [today, female.rests_until, after_birth(female, rest_days)]
    return max(day for day in (*days, female.free_on, male.free_on) if day is not None)


def _second_best(plan: Plan) -> str:
    behind = plan.second_best_behind
    if behind == float("inf"):
        return tell("There is no other plan of as many pairings.")
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
