"""The state of the program."""

import datetime

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.animals import lineage
from breeding.planning.season.told.places import places_in_season
from breeding.planning.state.answers import Answers, answers_of
from breeding.planning.state.members import EVERYBODY, Scope, members, parts_here, within
from breeding.planning.state.pictures import StatePictures, state_pictures
from breeding.planning.state.report import ProgramState, state_of
from breeding.planning.views.pair import RANKED_SHOWN
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.program.unchanged.growing import kept_from_page_to_page


@require_safe
def state(request: PageRequest) -> HttpResponse:
    """The state of the program, or of a part of it, each figure with what it rests on."""
    parts = parts_here()
    asked = request.GET.get("part", "")
    known = next((one for one in parts if one.key == asked), None)
    scope = known or EVERYBODY
    context = {"parts": parts, "scope": scope, "no_such_part": "" if known else asked}
    found = _state_as_told(scope, clock.today(), request.program.inbreeding_needs_reason)
    if found is not None:
        state, pictures, answers = found
        ranking = state.ranking
        context |= {
            "state": state,
            "answers": answers,
            "in_season": _in_season(request, answers),
            "pictures": pictures,
            "rare": ranking[:RANKED_SHOWN],
            "common": ranking[-1:-4:-1] if len(ranking) > RANKED_SHOWN else (),
        }
    return render(request, "planning/state.html", context)


def _in_season(request: PageRequest, answers: Answers) -> dict[int, str]:
    """Of those to be bred first whether the season's plan has them; not where many are compared."""
    if not answers.are_compared:
        return {}
    places = places_in_season(request)
    keys = [one.animal.pk for one in answers.first]
    return {pk: places[pk] for pk in keys if pk in places}


def _state_as_told(
    scope: Scope, today: datetime.date, threshold: float
) -> tuple[ProgramState, StatePictures, Answers] | None:
    """Reckoned once for everybody who looks, until something that it rests on is written; None:
    nobody of it is here. Nobody may change it."""

    def make() -> tuple[ProgramState, StatePictures, Answers] | None:
        chosen, known = within(members(), scope), lineage.current()
        if not any(one.is_here for one in chosen):
            return None
        found = state_of(chosen, known, today=today)
        answers = answers_of(found, known, today=today, threshold=threshold)
        return found, state_pictures(found), answers

    return kept_from_page_to_page(
        ("state of the program", scope.key, today, threshold), make, alike="state of the program"
    )
