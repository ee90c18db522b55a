"""Whether an animal is in the season's plan as it is usually asked for, or why not, in words."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.http import QueryDict

from breeding.planning.season.asking import ask_season, plan_asked
from breeding.planning.season.colliding import WishesCollide
from breeding.planning.season.plan import SeasonPlan
from breeding.planning.season.told.under_way import UnderWay
from breeding.planning.season.told.without import GROUPS, SETTLED, Without, without_mate
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.program.unchanged.values import kept_while_unchanged
from breeding.words.language import tell
from pedigree import LineageError


@dataclass(frozen=True)
class InSeason:
    """By the animal's key. places: of all that could be mated, whether they are in the plan, or why
    not; coming: of parents of a litter under way or planned, what there is, in a sentence."""

    places: Mapping[int, str]
    coming: Mapping[int, str]


def places_in_season(request: PageRequest) -> InSeason:
    """Made once, until something it rests on is written. Cost: that of the plan."""
    key = ("places in the season's plan", clock.today(), request.user.may_see_buyers)
    return kept_while_unchanged(key, lambda: _places(request))


def _places(request: PageRequest) -> InSeason:
    asked = ask_season(request, QueryDict(""))
    coming = _coming(asked.settled)
    if not asked.form.is_valid():
        return InSeason({}, coming)
    try:
        plan = plan_asked(request, asked)
    except (WishesCollide, LineageError):
        plan = None
    found = {
        pk: _why_not(one)
        for pk, one in without_mate(plan, asked.choice, asked.waiting, asked.around).items()
    }
    return InSeason(found | (_in_plan(plan) if plan else {}), coming)


def _coming(settled: UnderWay) -> dict[int, str]:
    """The surest of each: a litter before two that are together, and those before what waits."""
    found: dict[int, str] = {}
    for one in settled.everybody:
        values = {"animal": one.female.animal.name, "words": one.words}
        said = (
            tell("Planned: {animal} {words}.", **values)
            if one.planned
            else tell("Under way: {animal} {words}.", **values)
        )
        for pk in (one.female.animal.pk, *one.males):
            found.setdefault(pk, said)
    return found


def _in_plan(plan: SeasonPlan) -> dict[int, str]:
    found = {}
    for row in plan.rows:
        for one, other in ((row.female, row.male), (row.male, row.female)):
            found[one.animal.pk] = tell(
                "In this season's plan, with {animal}.", animal=other.animal.name
            )
    return found


def _why_not(one: Without) -> str:
    reason = tell(GROUPS[one.group])
    if one.group in SETTLED:
        return tell("This season: {reason}: {words}.", reason=reason, words=one.words)
    if not one.words:
        return tell("Not in this season's plan. {reason}.", reason=reason)
    return tell("Not in this season's plan. {reason}: {words}.", reason=reason, words=one.words)
