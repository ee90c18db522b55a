"""Whether an animal is in the season's plan as it is usually asked for, or why not, in words."""

from collections.abc import Mapping

from django.http import QueryDict

from breeding.planning.season.asking import ask_season, plan_asked
from breeding.planning.season.colliding import WishesCollide
from breeding.planning.season.plan import SeasonPlan
from breeding.planning.season.told.without import GROUPS, SETTLED, Without, without_mate
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.program.unchanged.values import kept_while_unchanged
from breeding.words.language import tell
from pedigree import LineageError


def places_in_season(request: PageRequest) -> Mapping[int, str]:
    """By the animal's key, of all that could be mated. Made once, until something it rests on is
    written. Cost: that of the plan."""
    key = ("places in the season's plan", clock.today(), request.user.may_see_buyers)
    return kept_while_unchanged(key, lambda: _places(request))


def _places(request: PageRequest) -> dict[int, str]:
    asked = ask_season(request, QueryDict(""))
    if not asked.form.is_valid():
        return {}
    try:
        plan = plan_asked(request, asked)
    except (WishesCollide, LineageError):
        plan = None
    found = {
        pk: _why_not(one)
        for pk, one in without_mate(plan, asked.choice, asked.waiting, asked.around).items()
    }
    return found | (_in_plan(plan) if plan else {})


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
