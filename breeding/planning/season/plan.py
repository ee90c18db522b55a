"""The plan for a season: which male for which female, why, and how far other choices are behind."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from breeding.animals.lineage import Lineage
from breeding.animals.parents.descent import open_kin_of_pairs, short_inbreeding_of_young
from breeding.planning.season.asked import asked_of
from breeding.planning.season.colliding import can_hold, colliding
from breeding.planning.season.fitness import too_wide
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.wishes import Wishes
from breeding.words.numbers import counted, percent
from pedigree import LivingKinship
from pedigree.plans.allocation import Choice, Pairs, Plan, plan_pairings
from pedigree.plans.balanced import balanced_plan
from pedigree.plans.optimal_contributions import diversity_gained
from pedigree.rows import Floats

LITTER = 6


@dataclass(frozen=True)
class PlannedRow:
    """One pairing of the plan, with its reasons."""

    female: Candidate
    male: Candidate
    inbreeding: float
    inbreeding_words: str
    gained: float  # gene diversity of the living after a litter, less that before
    why: str
    is_must: bool
    not_before: datetime.date
    open_kin: str = ""  # of animals behind the two that came together

    @property
    def lost(self) -> float:
        return -self.gained


@dataclass(frozen=True)
class SeasonPlan:
    """The best allocation and what it is compared with."""

    rows: tuple[PlannedRow, ...]
    left_out: tuple[Candidate, ...]
    proven: bool
    mean: float
    second_best: str
    lowest_first: str
    plan: Plan


def season_plan(
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    wishes: Wishes,
    known: Lineage,
    living: Sequence[int],
    *,
    today: datetime.date,
    rest_days: int = 0,
) -> SeasonPlan:
    """The best plan, by F alone with a proof; with diversity in it, by `balanced_plan`.

    Then which animals are used how often is found by search, and who goes with whom is proven.
    A male too wide for a female is not given to her, unless these two are asked for by hand.
    Raises WishesCollide (which do, and what to loosen) and LineageError (a value that cannot be).

    `living`: keys of all living animals, whose diversity counts; it takes in the candidates.
    """
    kinship = LivingKinship.of(known.pedigree, list(living))
    hers, his = ([one.animal.pk for one in some] for some in (females, males))
    place = {pk: at for at, pk in enumerate(kinship.ids)}
    rows, columns = ([place[pk] for pk in some] for some in (hers, his))
    table = kinship.matrix[np.ix_(rows, columns)]
    animals = [[one.animal for one in some] for some in (females, males)]
    sizes = [[is_too_wide(her, him) is True for him in males] for her in females]
    wide = np.array(sizes, np.bool_).reshape(table.shape)
    asked = asked_of(animals[0], animals[1], wishes, table, known, wide)
    if not can_hold(asked, asked.binding):
        raise colliding(asked)
    rules = asked.arguments()
    least = plan = plan_pairings(table, **rules, females=asked.females, males=asked.males)
    if wishes.most_pairings is not None and len(plan.pairs) > wishes.most_pairings:
        rules["litters"] = wishes.most_pairings
        least = plan = plan_pairings(table, **rules, females=asked.females, males=asked.males)
    if wishes.diversity:
        plan = balanced_plan(
            kinship.matrix,
            rows,
            columns,
            diversity=wishes.diversity,
            **rules,
            female_names=asked.females,
            male_names=asked.males,
        ).plan
    gained = diversity_gained(kinship, hers, his, LITTER)
    taken = {row for row, _ in plan.pairs}
    pairs = [(hers[one.female], his[one.male]) for one in plan.reasons]
    unsaid = open_kin_of_pairs(known, pairs)
    return SeasonPlan(
        rows=tuple(
            _row(
                choice,
                females,
                males,
                known,
                float(gained[choice.female, choice.male]),
                today,
                rest_days,
                unsaid.get((hers[choice.female], his[choice.male]), ""),
            )
            for choice in plan.reasons
        ),
        left_out=tuple(one for at, one in enumerate(females) if at not in taken),
        proven=plan.proven,
        mean=plan.mean,
        second_best=_second_best(plan),
        lowest_first=_lowest_first(plan, least, kinship.matrix, rows, columns),
        plan=plan,
    )


def _row(
    choice: Choice,
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    known: Lineage,
    gained: float,
    today: datetime.date,
    rest_days: int,
    open_kin: str,
) -> PlannedRow:
    female, male = females[choice.female], males[choice.male]
    if choice.required:
        why = "You asked for this pair."
    elif choice.change == float("inf"):
        why = "There is no other way to keep all the rules."
    elif choice.lowest == choice.male:
        why = f"{male.animal.name} is the best there is for her"
        why += _and_without(choice.change)
    else:
        better = males[choice.lowest].animal.name
        why = f"{better} alone would be better for her, but then others come off worse"
        if choice.lowest_change != float("inf"):
            why += f" (the whole plan by {_amount(choice.lowest_change)})"
        why += _and_without(choice.change)
    if is_too_wide(female, male) is None:
        why += " How wide the two are is not on record, so nobody knows whether he is too large."
    return PlannedRow(
        female,
        male,
        choice.inbreeding,
        short_inbreeding_of_young(known, male.animal.pk, female.animal.pk),
        gained,
        why,
        choice.required,
        earliest(female, today, rest_days),
        open_kin,
    )


def is_too_wide(female: Candidate, male: Candidate) -> bool | None:
    """Whether he is too large for her; None: nobody knows."""
    return too_wide(male.disc_width_mm, female.disc_width_mm, female.figures)


def _and_without(change: float) -> str:
    if change <= 1e-12:
        return "; another male would do as well."
    return f"; without this pair the plan is worse by {_amount(change)}."


def _amount(change: float) -> str:
    return f"F {percent(change)} over all pairings"


def earliest(female: Candidate, today: datetime.date, rest_days: int) -> datetime.date:
    """From when on she can be paired: after her rest, and after a birth she is expected to have."""
    days = [today]
    if female.rests_until is not None:
        days.append(female.rests_until)
    season = female.season
    window = season.estimate.announced if season else None
    if season and window and season.estimate.chance >= season.rules.worth_planning_chance:
        days.append(window.p95 + datetime.timedelta(days=rest_days))
    return max(days)


def _second_best(plan: Plan) -> str:
    behind = plan.second_best_behind
    if behind == float("inf"):
        return "There is no other plan of as many pairings."
    if behind <= 1e-12:
        return "Another plan is just as good; this is one of the best."
    return f"The second best plan is behind by {_amount(behind)}."


def _lowest_first(
    plan: Plan, least: Plan, kinship: Floats, rows: Sequence[int], columns: Sequence[int]
) -> str:
    """How taking the pair of lowest F first, again and again, compares on both counts."""
    other = least.lowest_first
    what = "Taking the pair of lowest F first, then the next, and so on"
    if len(other.pairs) < len(plan.pairs):
        ends = counted(len(other.pairs), "pairing")
        return f"{what}, would end with {ends} instead of {len(plan.pairs)}."
    mean = other.total / len(other.pairs) if other.pairs else 0.0
    mine, its = (_kept(kinship, rows, columns, pairs) for pairs in (plan.pairs, other.pairs))
    if abs(mean - plan.mean) <= 1e-12 and abs(mine - its) <= 1e-12:
        return f"{what}, would come to the same here."
    return (
        f"{what}, would give a mean F of {percent(mean)} instead of {percent(plan.mean)}, and "
        f"young that keep {percent(its)} of the gene diversity instead of {percent(mine)}."
    )


def _kept(kinship: Floats, rows: Sequence[int], columns: Sequence[int], pairs: Pairs) -> float:
    """Gene diversity of very many young of these pairs, as many of each: 1 - c'Kc."""
    shares = np.zeros(len(kinship))
    for row, column in pairs:
        shares[rows[row]] += 0.5 / len(pairs)
        shares[columns[column]] += 0.5 / len(pairs)
    return 1 - float(shares @ kinship @ shares)
