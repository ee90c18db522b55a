"""Pages of the planning room: who with whom, and the state of the program."""

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.pairings.exposure import maturity_of
from breeding.pairings.readings import females_here, males_here
from breeding.planning.ahead_views import ahead, outlook, stop
from breeding.planning.forms import MOST_ANIMALS, ListsForm, PairForm
from breeding.planning.kinship_table import kinship_table
from breeding.planning.living import EVERYBODY, members, scopes, within
from breeding.planning.pair import pair_report
from breeding.planning.pictures import state_pictures
from breeding.planning.season_views import accept, drop, season, waiting
from breeding.planning.state import state_of
from breeding.planning.what_if_views import what_if
from breeding.program import clock
from breeding.program.problems import add_problems
from breeding.program.requests import PageRequest

__all__ = [
    "accept",
    "ahead",
    "drop",
    "index",
    "outlook",
    "pair",
    "season",
    "state",
    "stop",
    "table",
    "waiting",
    "what_if",
]

RANKED_SHOWN = 12


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """What this room can answer, and two animals to begin with."""
    context = {"form": PairForm(), "any": females_here().exists() and males_here().exists()}
    return render(request, "planning/index.html", context)


@require_safe
def pair(request: PageRequest) -> HttpResponse:
    """Two animals together: their young, the program, and what stands against it."""
    form = PairForm(request.GET or None)
    report = None
    if form.is_valid():
        try:
            report = pair_report(**form.cleaned_data, program=request.program, today=clock.today())
        except ValidationError as problem:
            add_problems(form, problem)
    return render(request, "planning/pair.html", {"form": form, "report": report})


@require_safe
def table(request: PageRequest) -> HttpResponse:
    """Kinship of a list of females with a list of males."""
    form = ListsForm(request.GET)
    found, left_out = None, 0
    if form.is_valid():
        facts, today = form.cleaned_data, clock.today()
        females = list(facts["female"] or females_here().order_by("call_name", "code"))
        males = list(facts["male"] or males_here().order_by("call_name", "code"))
        if not facts["young_too"]:
            grown = maturity_of({one.pk: one for one in (*females, *males)})

            def is_offered(one: Animal) -> bool:
                return one in chosen or grown[one.pk].since <= today

            chosen = {*facts["female"], *facts["male"]}
            females, males = (list(filter(is_offered, some)) for some in (females, males))
        left_out = max(0, len(females) - MOST_ANIMALS) + max(0, len(males) - MOST_ANIMALS)
        females, males = females[:MOST_ANIMALS], males[:MOST_ANIMALS]
        if females and males:
            found = kinship_table(females, males, lineage.current().pedigree)
    context = {"form": form, "table": found, "left_out": left_out}
    return render(request, "planning/table.html", context)


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
