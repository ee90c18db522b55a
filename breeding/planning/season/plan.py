"""The plan for a season: which male for which female, why, and how far other choices are behind."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal, Revision
from breeding.animals.parents.descent import open_kin_of_pairs
from breeding.litters.size import usual_litter
from breeding.planning.kinship_table import shared_names
from breeding.planning.models import PlannedPairing
from breeding.planning.season.asked import asked_of
from breeding.planning.season.colliding import can_hold, colliding
from breeding.planning.season.fitness import widest_male
from breeding.planning.season.priced import priced
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.reasons import thin_lines
from breeding.planning.season.row import PlannedRow, in_order, with_tanks
from breeding.planning.season.solving import Solved, solved, with_the_living
from breeding.planning.season.told.already import planned_with
from breeding.planning.season.told.begin import begin_of
from breeding.planning.season.told.instead import Tables, instead_of
from breeding.planning.season.told.other_plans import lowest_first, mean_of, second_best
from breeding.planning.season.told.row import Telling, is_too_wide, names_told, row_of
from breeding.planning.season.wishes import Asked, Bools, Wishes
from breeding.program.unchanged.growing import kept_from_page_to_page
from breeding.program.unchanged.marks import rests_on
from breeding.words.descent.diversity import measure_words
from breeding.words.language import tell
from pedigree import LivingKinship
from pedigree.plans.allocation import Plan
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

    rows = (
        _as_of_now(row, hers, his, waiting, today=today, rest_days=rest_days) for row in kept.rows
    )
    return replace(kept, rows=with_tanks(in_order(rows), free_tanks))


def _as_of_now(
    row: PlannedRow,
    hers: Mapping[int, Candidate],
    his: Mapping[int, Candidate],
    waiting: Sequence[PlannedPairing],
    *,
    today: datetime.date,
    rest_days: int,
) -> PlannedRow:
    """With what may be another without another plan: how the two are, and when they are free."""
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
    told = Telling(
        known,
        today,
        tables,
        dict(zip([*hers, *his], means.tolist(), strict=True)),
        lines,
        names_told(females, males, lines),
        open_kin_of_pairs(known, pairs),
        dict(instead_of(plan.pairs, tables, lambda one: solve(one).plan.pairs)),
        plan.pairs,
    )
    listed = [row_of(choice, females, males, told) for choice in plan.reasons]
    return SeasonPlan(
        rows=tuple(listed),
        proven=plan.proven,
        mean=mean_of(table, plan.pairs),
        mean_could_be=mean_of(prices.could_be, plan.pairs),
        second_best=second_best(plan, wishes),
        lowest_first=lowest_first(plan, least, prices),
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
