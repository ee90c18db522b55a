"""The plan for a season on its page, and its rows accepted as planned pairings."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import Form, MultipleChoiceField
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.housing.queries import free_tanks
from breeding.litters.models import Litter
from breeding.litters.wanted import wanted_young
from breeding.planning import queries, services
from breeding.planning.ahead.own_figures import OwnFigure, own_figures
from breeding.planning.crosses import crosses_said
from breeding.planning.forms import LISTS, MOST_LISTED, SeasonPlanForm, read_pair
from breeding.planning.keeping.reading import litters_to_decide
from breeding.planning.keeping.said import answer_of_stakes
from breeding.planning.models import PlannedPairing
from breeding.planning.next_year.expectations import expectations_of
from breeding.planning.next_year.missing import who_is_missing
from breeding.planning.next_year.size import bearable
from breeding.planning.season.answer import answer_of
from breeding.planning.season.colliding import WishesCollide
from breeding.planning.season.first_to_write import first_to_write
from breeding.planning.season.free_from import is_of_the_season
from breeding.planning.season.plan import SeasonPlan, earliest, season_plan
from breeding.planning.season.readiness import Candidate, candidates
from breeding.planning.season.young_to_leave import contribution_rows
from breeding.planning.state.members import members
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import Doubt, DoubtError, answers_in
from breeding.program.unchanged.values import kept_while_unchanged
from breeding.words.language import strung, tell
from breeding.words.numbers import joined
from pedigree import LineageError, NoPlan

FIRST_ROWS = 12  # of the plan that stand open
MOST_SHOWN = 24  # rows of a table, and names; the others are one tap away


def _offered(request: PageRequest) -> tuple[list[Candidate], list[Candidate]]:
    """Mature females and males, the ready ones first."""
    animals = queries.males_and_females_here()
    found = candidates(animals, request.program, today=clock.today())
    grown = [found[one.pk] for one in animals if found[one.pk].is_mature]
    ordered = sorted(grown, key=lambda one: not one.is_ready)
    return (
        [one for one in ordered if one.animal.sex == Animal.Sex.FEMALE],
        [one for one in ordered if one.animal.sex == Animal.Sex.MALE],
    )


def _wishes(request: PageRequest, offered: dict[str, Any]) -> Mapping[str, Any]:
    """What the address asks; when it is not the whole form, the usual wishes for the rest."""
    is_form = "per_female" in request.GET
    if is_form and (request.GET.get("all") != "1" or {"female", "male"} & request.GET.keys()):
        return request.GET
    fields = SeasonPlanForm(**offered).fields
    usual = {name: field.initial for name, field in fields.items()}
    if is_form:  # sent where nobody was listed, and all are to be listed now
        sent = request.GET.copy()
        for name in {"female", "male"} & fields.keys():
            sent.setlist(name, usual[name])
        return sent
    # From this F on a reason must be written: what the plan proposes by itself stays below it.
    usual["most"] = max(0.0, round(request.program.inbreeding_needs_reason * 100 - 0.01, 2))
    for name in fields.keys() & request.GET.keys():
        is_list = isinstance(fields[name], MultipleChoiceField)
        usual[name] = request.GET.getlist(name) if is_list else request.GET[name]
    return usual


def _form(request: PageRequest) -> tuple[SeasonPlanForm, list[Candidate], list[Candidate]]:
    """The wishes, and whom they choose among."""
    today, (females, males) = clock.today(), _offered(request)
    everybody = [*females, *males]
    free = [tank.name for tank in free_tanks(today)]
    lines = queries.lines_nearly_lost()
    bears = bearable(
        free_tanks=len(free) + queries.tanks_of_young(today) if Tank.objects.exists() else None,
        wanted=wanted_young() if request.user.may_see_buyers else None,
        per_litter=_per_litter(today).value,
        thin_lines=len({lines[pk].founder for one in females if (pk := one.animal.pk) in lines}),
    )
    offered: dict[str, Any] = {
        "females": females,
        "males": males,
        "free_tanks": free,
        "chosen": {one.animal.pk for one in everybody if is_of_the_season(one, today)},
        "bears": bears,
        "is_listed": len(everybody) <= MOST_LISTED or bool(LISTS & request.GET.keys()),
    }
    return SeasonPlanForm(_wishes(request, offered), **offered), females, males


def _per_litter(today: datetime.date) -> OwnFigure:
    return kept_while_unchanged(
        ("young to a litter", today), lambda: own_figures(members(), today)["young_per_litter"]
    )


def _chosen(
    form: SeasonPlanForm, females: list[Candidate], males: list[Candidate]
) -> tuple[list[Candidate], list[Candidate]]:
    return [one for one in females if form.is_chosen(one)], [
        one for one in males if form.is_chosen(one)
    ]


def _asked(
    request: PageRequest, form: SeasonPlanForm, everybody: list[Candidate], chosen: list[Candidate]
) -> QueryDict:
    """What the address asks, without a long list of animals that says the usual."""
    asked = request.GET.copy()
    if len(everybody) > MOST_LISTED and {one.animal.pk for one in chosen} == form.usual:
        for name in LISTS & asked.keys():
            del asked[name]
    return asked


@require_safe
def season(request: PageRequest) -> HttpResponse:
    """The best plan for what is asked; with nothing asked yet, for the usual wishes."""
    form, females, males = _form(request)
    context: dict[str, Any] = {"form": form, "waiting": queries.waiting()}
    context["offered"] = {"females": len(females), "males": len(males)}
    context["is_many"] = len(females) + len(males) > MOST_LISTED
    if form.is_valid():
        hers, his = _chosen(form, females, males)
        context["chosen"] = {"females": len(hers), "males": len(his)}
        asked = _asked(request, form, [*females, *males], [*hers, *his])
        if hers and his:
            try:
                plan = season_plan(
                    hers,
                    his,
                    form.wishes(),
                    lineage.current(),
                    queries.living_keys(),
                    today=clock.today(),
                    rest_days=request.program.rest_days,
                    free_tanks=[tank.name for tank in free_tanks(clock.today())],
                    chances=queries.trait_chances(form.wished_trait, form.wishes(), hers, his),
                )
            except WishesCollide as problem:
                context["collide"] = problem
                context["not_chosen"] = queries.others_with_trait(
                    *(form.wished_trait, form.wishes(), females, males),
                    {one.animal.pk for one in (*hers, *his)},
                )
            except LineageError as problem:
                form.add_error(None, str(problem))
            else:
                context |= _told(request, plan, hers, his, asked)
        context["asked"] = asked.urlencode()
        context["whole"] = f"{context['asked']}&all=1".lstrip("&")
        context["nobody"] = not (hers and his)
    context["nobody_to_pair"] = not (females and males)
    return render(request, "planning/season.html", context)


def _told(
    request: PageRequest,
    plan: SeasonPlan,
    hers: list[Candidate],
    his: list[Candidate],
    asked: QueryDict,
) -> dict[str, Any]:
    """What the page says of a plan."""
    today, known = clock.today(), lineage.current()
    limit = request.program.inbreeding_needs_reason
    answer = answer_of(plan, hers, his, today=today, threshold=limit)
    show = request.GET.get("show", "")
    shown = {"now": answer.now, "later": answer.later}.get(show, plan.rows)
    if show == "open":
        shown = tuple(row for row in plan.rows if row.is_open)
    across = [(row.female.animal, row.male.animal) for row in plan.rows if row.is_across]
    without = asked.copy()
    without.pop("show", None)
    is_whole = "all" in request.GET
    contributions = contribution_rows(hers, his)
    return {
        "other_rows": shown[FIRST_ROWS : None if is_whole else MOST_SHOWN],
        "more_rows": 0 if is_whole else max(0, len(shown) - MOST_SHOWN),
        "left_out": plan.left_out if is_whole else plan.left_out[:MOST_SHOWN],
        "more_left_out": 0 if is_whole else max(0, len(plan.left_out) - MOST_SHOWN),
        "contributions": contributions,
        "shares": contributions.rows if is_whole else contributions.first(MOST_SHOWN),
        "plan": plan,
        "answer": answer,
        "show": show,
        "shown": shown[:FIRST_ROWS],
        "open_rows": sum(row.is_open for row in plan.rows),
        "without_show": without.urlencode(),
        "crosses": crosses_said(across, known.shares),
        "expected": expectations_of(plan.rows, _per_litter(today)),
        "missing": who_is_missing(plan, hers, his, known, queries.living_keys()),
        "keeping": _keeping(today),
    }


def _keeping(today: datetime.date) -> list[tuple[Litter, str]]:
    """Litters with young to decide of, and whom of them to hold back: what loses most first."""
    return [
        (one, answer_of_stakes(stakes, {pup.pup.sex for pup in waiting}, which="undecided"))
        for one, waiting, stakes in litters_to_decide(asof=today)
    ]


@require_safe
def unknown(request: PageRequest) -> HttpResponse:
    """What to write down first: what would change the plan most, if it were known."""
    form, females, males = _form(request)
    context: dict[str, Any] = {"asked": request.GET.urlencode(), "rows": []}
    if form.is_valid():
        hers, his = _chosen(form, females, males)
        try:
            if hers and his:
                context["rows"] = first_to_write(
                    hers,
                    his,
                    form.wishes(),
                    lineage.current(),
                    queries.living_keys(),
                    queries.trait_chances(form.wished_trait, form.wishes(), hers, his),
                )
        except (LineageError, NoPlan):
            context["no_plan"] = True
    return render(request, "planning/unknown.html", context)


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
        raise Http404(tell("One of these animals is not on record."))
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
                    not_before=earliest(found[her], found[his], today, request.program.rest_days),
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
        names = [joined([animals[her].name, animals[his].name]) for her, his in pairs]
        asked = {"form": form, "pairs": zip(request.POST.getlist("pair"), names, strict=False)}
        return render(request, "planning/accept.html", asked)
    for said in refused:
        messages.warning(request, said)
    if planned:
        say(request, tell("Planned: {pairs}.", pairs=strung(map(str, planned), "; ")))
    elif not refused:
        messages.warning(request, tell("No pair was chosen; tick the rows you want."))
    return redirect("planning:waiting")


@require_safe
def waiting(request: PageRequest) -> HttpResponse:
    """Planned pairings that wait for their day."""
    context = {"waiting": queries.waiting(), "given_up": queries.given_up()}
    return render(request, "planning/waiting.html", context)
