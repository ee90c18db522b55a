"""The state of the program."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.animals import lineage
from breeding.planning.state.members import EVERYBODY, members, scopes, within
from breeding.planning.state.pictures import state_pictures
from breeding.planning.state.report import state_of
from breeding.planning.views.pair import RANKED_SHOWN
from breeding.program import clock
from breeding.program.frame.requests import PageRequest


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
        found = state_of(chosen, lineage.current(), today=clock.today())
        context |= {
            "state": found,
            "pictures": state_pictures(found),
            "rare": found.ranking[:RANKED_SHOWN],
            "common": found.ranking[-1:-4:-1] if len(found.ranking) > RANKED_SHOWN else (),
        }
    return render(request, "planning/state.html", context)
