"""The plan for a season on its page, and its rows accepted as planned pairings."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import Form, MultipleChoiceField
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.housing.queries import free_tanks
from breeding.pairings.queries import females_here, males_here
from breeding.planning import queries, services
from breeding.planning.forms import SeasonPlanForm, read_pair
from breeding.planning.models import PlannedPairing
from breeding.planning.season.colliding import WishesCollide
from breeding.planning.season.plan import earliest, season_plan
from breeding.planning.season.readiness import Candidate, candidates
from breeding.planning.season.young_to_leave import contribution_rows
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import Doubt, DoubtError, answers_in
from pedigree import LineageError


def _offered(request: PageRequest) -> tuple[list[Candidate], list[Candidate]]:
    """Mature females and males, the ready ones first."""
    animals = [
        *females_here().order_by("call_name", "code"),
        *males_here().order_by("call_name", "code"),
    ]
    found = candidates(animals, request.program, today=clock.today())
    grown = [found[one.pk] for one in animals if found[one.pk].is_mature]
    ordered = sorted(grown, key=lambda one: not one.is_ready)
    return (
        [one for one in ordered if one.animal.sex == Animal.Sex.FEMALE],
        [one for one in ordered if one.animal.sex == Animal.Sex.MALE],
    )


def _wishes(request: PageRequest, offered: dict[str, Any]) -> Mapping[str, Any]:
    """What the address asks; when it is not the whole form, the usual wishes for the rest."""
    if "per_female" in request.GET:
        return request.GET
    fields = SeasonPlanForm(**offered).fields
    usual = {name: field.initial for name, field in fields.items()}
    usual["most"] = round(request.program.inbreeding_needs_reason * 100, 2)
    for name in fields.keys() & request.GET.keys():
        is_list = isinstance(fields[name], MultipleChoiceField)
        usual[name] = request.GET.getlist(name) if is_list else request.GET[name]
    return usual


@require_safe
def season(request: PageRequest) -> HttpResponse:
    """The best plan for what is asked; with nothing asked yet, for the usual wishes."""
    females, males = _offered(request)
    offered: dict[str, Any] = {
        "females": females,
        "males": males,
        "free_tanks": [tank.name for tank in free_tanks(clock.today())],
    }
    form = SeasonPlanForm(_wishes(request, offered), **offered)
    context: dict[str, Any] = {"form": form, "waiting": queries.waiting()}
    if form.is_valid():
        hers, his = (
            [one for one in some if str(one.animal.pk) in form.cleaned_data[name]]
            for name, some in (("female", females), ("male", males))
        )
        if hers and his:
            try:
                context["plan"] = season_plan(
                    hers,
                    his,
                    form.wishes(),
                    lineage.current(),
                    queries.living_keys(),
                    today=clock.today(),
                    rest_days=request.program.rest_days,
                )
            except WishesCollide as problem:
                context["collide"] = problem
            except LineageError as problem:
                form.add_error(None, str(problem))
            else:
                context["contributions"] = contribution_rows(hers, his, lineage.current())
        context["asked"] = request.GET.urlencode()
        context["nobody"] = not (hers and his)
    return render(request, "planning/season.html", context)


@require_POST
@keepers_only
def accept(request: PageRequest) -> HttpResponse:
    """Rows of the plan become planned pairings, each from the first day she can be paired."""
    today = clock.today()
    planned: list[PlannedPairing] = []
    refused: list[str] = []
    pairs = [pair for sent in request.POST.getlist("pair") if (pair := read_pair(sent))]
    animals = Animal.objects.in_bulk({pk for pair in pairs for pk in pair})
    if any(pk not in animals for pair in pairs for pk in pair):
        raise Http404("One of these animals is not on record.")
    found = candidates(list(animals.values()), request.program, today=today)

    answers = answers_in(request.POST)

    def plan_all() -> bool:
        planned.clear()
        refused.clear()
        doubts: list[Doubt] = []
        for her, his in pairs:
            try:
                one = services.plan_pairing(
                    female=animals[her],
                    male=animals[his],
                    not_before=earliest(found[her], today, request.program.rest_days),
                    by=request.user,
                    today=today,
                    sure=answers.sure,
                    reason=answers.reason,
                    found=found,
                )
            except DoubtError as asked:
                doubts.extend(asked.doubts)
            except ValidationError as problem:
                refused.extend(problem.messages)
            else:
                planned.append(one)
        answers.ask(doubts)  # of all at once: until it is answered none is planned
        return True

    form = Form(request.POST)
    if not written(request, form, plan_all):
        names = [f"{animals[her].name} and {animals[his].name}" for her, his in pairs]
        asked = {"form": form, "pairs": zip(request.POST.getlist("pair"), names, strict=False)}
        return render(request, "planning/accept.html", asked)
    for said in refused:
        messages.warning(request, said)
    if planned:
        say(request, f"Planned: {'; '.join(str(one) for one in planned)}.")
    elif not refused:
        messages.warning(request, "No pair was chosen; tick the rows you want.")
    return redirect("planning:waiting")


@require_safe
def waiting(request: PageRequest) -> HttpResponse:
    """Planned pairings that wait for their day."""
    context = {"waiting": queries.waiting(), "given_up": queries.given_up()}
    return render(request, "planning/waiting.html", context)
