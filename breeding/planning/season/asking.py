"""What is asked of a plan: the form, whom it chooses among, and what is settled already."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.forms import MultipleChoiceField
from django.http import QueryDict

from breeding.animals import lineage
from breeding.animals.growth.reading import measured_program
from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.litters.models import Litter
from breeding.litters.queries import PupReading
from breeding.litters.raising.wanted import wanted_young
from breeding.litters.size import usual_litter
from breeding.planning import queries
from breeding.planning.forms import LISTS, MOST_LISTED, SeasonPlanForm
from breeding.planning.keeping.reading import Stakes, litters_to_decide
from breeding.planning.models import PlannedPairing
from breeding.planning.next_year.months import Expected
from breeding.planning.next_year.size import Bearable, Demand, bearable
from breeding.planning.next_year.tanks import (
    names_of_free_tanks,
    still_there,
    tanks_for_litters,
    to_expect,
)
from breeding.planning.season.free_from import is_of_the_season
from breeding.planning.season.plan import SeasonPlan, season_plan
from breeding.planning.season.readiness import Candidate, candidates
from breeding.planning.season.reasons import Line
from breeding.planning.season.told.already import planned_with
from breeding.planning.season.told.under_way import (
    Known,
    Settled,
    UnderWay,
    planned_of,
    under_way,
)
from breeding.planning.season.told.without import Around, Choice
from breeding.planning.season.wishes import Wishes
from breeding.program import clock
from breeding.program.frame.memory import remembered
from breeding.program.frame.requests import PageRequest
from breeding.program.models import Program
from breeding.words.numbers import joined


@dataclass(frozen=True)
class AskedSeason:
    """The form, those it offers, and what of the season is settled. litters: of what is settled,
    with the young to be expected."""

    form: SeasonPlanForm
    females: Sequence[Candidate]
    males: Sequence[Candidate]
    waiting: Sequence[PlannedPairing]
    settled: UnderWay
    litters: Sequence[tuple[Settled, Expected]]
    free: Sequence[str]  # names of the tanks with nobody in them
    around: Around

    @property
    def today(self) -> datetime.date:
        return self.around.today

    @property
    def chosen(self) -> tuple[list[Candidate], list[Candidate]]:
        """Of a form that is valid."""
        hers, his = (
            [one for one in some if self.form.is_chosen(one)] for some in (self.females, self.males)
        )
        return hers, his

    @property
    def choice(self) -> Choice:
        return Choice(self.females, self.males, *self.chosen)


def ask_season(request: PageRequest, sent: QueryDict) -> AskedSeason:
    """sent: the wishes of the address; of what it leaves out, the usual ones."""
    today, known = clock.today(), lineage.current()
    females, males = _offered(request, today)
    free = names_of_free_tanks(today)
    waiting = queries.waiting_now()
    lines = queries.lines_nearly_lost()
    needs_reason = request.program.inbreeding_needs_reason
    founders = {line.founder for line in lines.values()}
    names = {pk: one.name for pk, one in Animal.every.in_bulk(founders).items()} if lines else {}
    usual = Wishes(below=needs_reason)
    settled = under_way(females, males, waiting, Known(known, lines, names, usual, today))
    planned = {plan.female_id for plan in waiting}
    chosen = {
        one.animal.pk
        for one in (*females, *males)
        if is_of_the_season(one, today) and one.animal.pk not in planned
    }
    size = usual_litter(today)
    litters = to_expect(settled, size.mean, measured_program(), today)
    hers = [one for one in females if one.animal.pk in chosen]
    offered: dict[str, Any] = {
        "females": females,
        "males": males,
        "free_tanks": free,
        "chosen": chosen,
        "is_listed": len(females) + len(males) <= MOST_LISTED or bool(LISTS & sent.keys()),
        "needs_reason": needs_reason,
        "litter": size,
        "planned": {
            one.animal.pk: joined(list(said))
            for one in (*females, *males)
            if (said := planned_with(one.animal, waiting, today))
        },
        "bears": _bears(request, hers, settled, litters, lines, free, today),
    }
    form = SeasonPlanForm(**offered)
    form.ask(_wishes(sent, form))
    around = Around(today, request.program.length_unit)
    return AskedSeason(form, females, males, waiting, settled, litters, free, around)


def plan_asked(request: PageRequest, asked: AskedSeason) -> SeasonPlan | None:
    """The plan for a form that is valid; None where nobody is chosen.

    Raises WishesCollide, LineageError.
    """
    hers, his = asked.chosen
    if not (hers and his):
        return None
    form, wishes = asked.form, asked.form.wishes()
    return season_plan(
        hers,
        his,
        wishes,
        lineage.current(),
        queries.living_keys(),
        today=asked.today,
        rest_days=request.program.rest_days,
        free_tanks=asked.free,
        chances=queries.trait_chances(form.wished_trait, wishes, hers, his),
        waiting=asked.waiting,
    )


def waiting_as_told(program: Program, today: datetime.date) -> list[Settled]:
    """Pairings that are planned, by their day, with what the season's plan says of each."""
    waiting, known = queries.waiting_now(), lineage.current()
    animals = {one.pk: one for plan in waiting for one in (plan.female, plan.male)}
    around = Known(known, {}, {}, Wishes(below=program.inbreeding_needs_reason), today)
    pairs = {(plan.male_id, plan.female_id) for plan in waiting}
    if any(around.wishes.is_too_close(float(known.pedigree.kinship(*pair))) for pair in pairs):
        here = queries.males_and_females_here()
        animals |= {one.pk: one for one in here if one.sex == Animal.Sex.MALE}
    found = candidates(list(animals.values()), program, today=today)
    males = [one for one in found.values() if one.animal.sex == Animal.Sex.MALE and one.is_mature]
    return planned_of(waiting, found, males, around)


def undecided_litters(today: datetime.date) -> list[tuple[Litter, list[PupReading], Stakes]]:
    return remembered("litters to decide of", lambda: litters_to_decide(asof=today))


def _bears(
    request: PageRequest,
    hers: Sequence[Candidate],
    settled: UnderWay,
    litters: Sequence[tuple[Settled, Expected]],
    lines: Mapping[int, Line],
    free: Sequence[str],
    today: datetime.date,
) -> Bearable:
    """Lines that a litter under way or planned carries on, by either parent, need no other."""
    wanted = wanted_young() if request.user.may_see_buyers else None
    demand = None
    if wanted is not None:
        worth = [stakes.worth_keeping for *_, stakes in undecided_litters(today)]
        held = sum(worth) / len(worth) if worth else None
        demand = Demand(wanted, usual_litter(today).mean, held, len(settled.everybody))
    thin = {lines[pk].founder for one in hers if (pk := one.animal.pk) in lines}
    thin -= cared_for(settled, lines)
    has_tanks = Tank.objects.exists()
    return bearable(
        tanks=tanks_for_litters(free, measured_program(), today) if has_tanks else None,
        taken=still_there(litters, hers, today) if has_tanks else (),
        demand=demand,
        thin_lines=len(thin),
    )


def cared_for(settled: UnderWay, lines: Mapping[int, Line]) -> set[int]:
    """Founders whose line a litter under way or planned carries on, by either parent."""
    parents = {pk for one in settled.everybody for pk in (one.female.animal.pk, *one.males)}
    return {lines[pk].founder for pk in parents & lines.keys()}


def _offered(request: PageRequest, today: datetime.date) -> tuple[list[Candidate], list[Candidate]]:
    """Mature females and males, the ready ones first."""
    animals = queries.males_and_females_here()
    found = candidates(animals, request.program, today=today)
    grown = [found[one.pk] for one in animals if found[one.pk].is_mature]
    ordered = sorted(grown, key=lambda one: not one.is_ready)
    return (
        [one for one in ordered if one.animal.sex == Animal.Sex.FEMALE],
        [one for one in ordered if one.animal.sex == Animal.Sex.MALE],
    )


def _wishes(sent: QueryDict, form: SeasonPlanForm) -> Mapping[str, Any]:
    """What the address asks; when it is not the whole form, the usual wishes for the rest."""
    is_form = "per_female" in sent
    if is_form and (sent.get("all") != "1" or {"female", "male"} & sent.keys()):
        return sent
    fields = form.fields
    usual = {name: field.initial for name, field in fields.items()}
    if is_form:  # sent where nobody was listed, and all are to be listed now
        whole = sent.copy()
        for name in {"female", "male"} & fields.keys():
            whole.setlist(name, usual[name])
        return whole
    for name in fields.keys() & sent.keys():
        is_list = isinstance(fields[name], MultipleChoiceField)
        usual[name] = sent.getlist(name) if is_list else sent[name]
    return usual
