"""The state of the program."""

import datetime

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.animals import lineage
from breeding.planning.season.told.places import InSeason, places_in_season
from breeding.planning.state.answers import Answers, ThinLine, answers_of
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
        season = places_in_season(request) if answers.are_compared else None
        ranking = state.ranking
        context |= {
            "state": state,
            "answers": answers,
            "in_season": season.places if season else {},
            "lines": [(line, _coming(line, season)) for line in answers.lines],
            "pictures": pictures,
            "rare": ranking[:RANKED_SHOWN],
            "common": ranking[-1:-4:-1] if len(ranking) > RANKED_SHOWN else (),
        }
    return render(request, "planning/state.html", context)


def _coming(line: ThinLine, season: InSeason | None) -> list[str]:
    """What is under way or planned of those that carry a line nearly lost, each said once."""
    said = [season.coming.get(one.pk, "") for one in line.carriers] if season else []
    return [one for one in dict.fromkeys(said) if one]


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
