"""The state of the program."""

import datetime

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.animals import lineage
from breeding.planning.season.told.places import places_in_season
from breeding.planning.state.answers import Answers, answers_of
from breeding.planning.state.members import EVERYBODY, Scope, members, scopes, within
from breeding.planning.state.pictures import StatePictures, state_pictures
from breeding.planning.state.report import ProgramState, state_of
from breeding.planning.views.pair import RANKED_SHOWN
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.program.unchanged.values import kept_while_unchanged


@require_safe
def state(request: PageRequest) -> HttpResponse:
    """The state of the program, or of a part of it, each figure with what it rests on."""
    everybody = members()
    parts = scopes(everybody)
    asked = request.GET.get("part", "")
    known = next((one for one in parts if one.key == asked), None)
    scope = known or EVERYBODY
    chosen = within(everybody, scope)
    context = {"parts": parts, "scope": scope, "no_such_part": "" if known else asked}
    if any(one.is_here for one in chosen):
        found, pictures = _state_with_pictures(scope, clock.today())
        threshold = request.program.inbreeding_needs_reason
        context |= {
            "state": found,
            "answers": (
                answers := answers_of(
                    found, lineage.current(), today=clock.today(), threshold=threshold
                )
            ),
            "in_season": _in_season(request, answers),
            "pictures": pictures,
            "rare": found.ranking[:RANKED_SHOWN],
            "common": found.ranking[-1:-4:-1] if len(found.ranking) > RANKED_SHOWN else (),
        }
    return render(request, "planning/state.html", context)


def _in_season(request: PageRequest, answers: Answers) -> dict[int, str]:
    """Of those to be bred first whether the season's plan has them; not where many are compared."""
    if not answers.are_compared:
        return {}
    places = places_in_season(request)
    keys = [one.animal.pk for one in answers.first]
    return {pk: places[pk] for pk in keys if pk in places}


def _state_with_pictures(scope: Scope, today: datetime.date) -> tuple[ProgramState, StatePictures]:
    """Reckoned once for everybody who looks, until something that it rests on is written."""

    def make() -> tuple[ProgramState, StatePictures]:
        found = state_of(within(members(), scope), lineage.current(), today=today)
        return found, state_pictures(found)

    return kept_while_unchanged(("state of the program", scope.key, today), make)
