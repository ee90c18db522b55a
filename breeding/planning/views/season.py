"""The plan for a season on its page, and its rows accepted as planned pairings."""

import datetime
from functools import partial
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from breeding.animals import lineage
from breeding.animals.growth.reading import measured_program
from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.litters.models import Litter
from breeding.planning import queries, services
from breeding.planning.crosses import crosses_said
from breeding.planning.forms import LISTS, MOST_LISTED, read_pair
from breeding.planning.keeping.said import answer_of_stakes
from breeding.planning.models import PlannedPairing
from breeding.planning.next_year.expectations import expectations_of
from breeding.planning.next_year.missing import no_room_to_buy, who_is_missing
from breeding.planning.season.asking import (
    AskedSeason,
    ask_season,
    plan_asked,
    undecided_litters,
    waiting_as_told,
)
from breeding.planning.season.colliding import WishesCollide
from breeding.planning.season.first_to_write import first_to_write
from breeding.planning.season.plan import SeasonPlan
from breeding.planning.season.readiness import candidates
from breeding.planning.season.told.answer import answer_of
from breeding.planning.season.told.begin import earliest
from breeding.planning.season.told.second_year import second_generation
from breeding.planning.season.told.without import groups_of, headings_of, without_mate
from breeding.planning.season.young_to_leave import contribution_rows
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import Doubt, DoubtError, answers_in
from breeding.traits.reading import belief_of
from breeding.words.language import strung, tell
from breeding.words.numbers import joined
from pedigree import LineageError, NoPlan

FIRST_ROWS = 12  # of the plan that stand open
MOST_SHOWN = 24  # rows of a table, and names; the others are one tap away


@require_safe
def season(request: PageRequest) -> HttpResponse:
    """The best plan for what is asked; with nothing asked yet, for the usual wishes."""
    asked = ask_season(request, request.GET)
    form = asked.form
    context: dict[str, Any] = {"form": form, "waiting": asked.waiting, "settled": asked.settled}
    context["offered"] = {"females": len(asked.females), "males": len(asked.males)}
    context["is_many"] = len(asked.females) + len(asked.males) > MOST_LISTED
    if form.is_valid():
        hers, his = asked.chosen
        context["chosen"] = {"females": len(hers), "males": len(his)}
        address = _address(request, asked)
        try:
            plan = plan_asked(request, asked)
        except WishesCollide as problem:
            context["collide"] = problem
            context |= _direct_ways(request, problem, asked)
        except LineageError as problem:
            form.add_error(None, str(problem))
        else:
            if plan is not None:
                context |= _told(request, plan, asked, address)
        wishes = form.wishes()
        if wishes.trait is not None and form.wished_trait is not None:
            belief = belief_of(form.wished_trait)
            context["second_generation"] = second_generation(wishes.trait, belief, hers)
            context["can_be_carried"] = "collide" in context and (
                wishes.trait.look == "shows"
                and queries.can_be_carried(form.wished_trait, wishes, hers, his)
            )
        context["trait_under_way"] = queries.trait_under_way(
            form.wished_trait, form.wishes(), asked.settled
        )
        context["asked"] = address.urlencode()
        context["whole"] = f"{context['asked']}&all=1".lstrip("&")
        context["nobody"] = not (hers and his)
    context["nobody_to_pair"] = not (asked.females and asked.males)
    return render(request, "planning/season.html", context)


def _direct_ways(
    request: PageRequest, problem: WishesCollide, asked: AskedSeason
) -> dict[str, tuple[str, ...]]:
    """Where a trait is wished for: the pairs that come nearest, and those that were not chosen."""
    form, (hers, his) = asked.form, asked.chosen
    wish = form.wished_trait, form.wishes()
    said = partial(
        queries.ways_said,
        *wish,
        today=asked.today,
        rest_days=request.program.rest_days,
        litter=form.litter.young,
    )
    chosen = {one.animal.pk for one in (*hers, *his)}
    others = queries.others_with_trait(*wish, asked.females, asked.males, chosen)
    return {
        "nearest": said(problem.nearest, hers, his),
        "not_chosen": said(others, asked.females, asked.males),
    }


def _address(request: PageRequest, asked: AskedSeason) -> QueryDict:
    """What the address asks, without a long list of animals that says the usual."""
    address, chosen = request.GET.copy(), {one.animal.pk for some in asked.chosen for one in some}
    if len(asked.females) + len(asked.males) > MOST_LISTED and chosen == asked.form.usual:
        for name in LISTS & address.keys():
            del address[name]
    return address


def _told(
    request: PageRequest, plan: SeasonPlan, asked: AskedSeason, address: QueryDict
) -> dict[str, Any]:
    """What the page says of a plan."""
    today, known, (hers, his) = asked.today, lineage.current(), asked.chosen
    limit = request.program.inbreeding_needs_reason
    answer = answer_of(plan, hers, his, threshold=limit)
    show = request.GET.get("show", "")
    shown = {"now": answer.now, "later": answer.later}.get(show, plan.rows)
    if show == "open":
        shown = tuple(row for row in plan.rows if row.is_open)
    crossed = [(row.female.animal, row.male.animal) for row in plan.rows if row.hybrids]
    without = without_mate(plan, asked.choice, asked.waiting, asked.around)
    unfiltered = address.copy()
    unfiltered.pop("show", None)
    is_whole = "all" in request.GET
    contributions = contribution_rows(hers, his)
    return {
        "other_rows": shown[FIRST_ROWS : None if is_whole else MOST_SHOWN],
        "more_rows": 0 if is_whole else max(0, len(shown) - MOST_SHOWN),
        "contributions": contributions,
        "shares": contributions.rows if is_whole else contributions.first(MOST_SHOWN),
        "plan": plan,
        "answer": answer,
        "show": show,
        "shown": shown[:FIRST_ROWS],
        "open_rows": sum(row.is_open for row in plan.rows),
        "without_show": unfiltered.urlencode(),
        "crosses": crosses_said(crossed, known.shares),
        "without": groups_of(without),
        "why_without": headings_of(without),
        "expected": expectations_of(
            plan.rows, asked.form.litter, measured_program(), [one for _, one in asked.litters]
        ),
        "missing": who_is_missing(plan, hers, his, known, queries.living_keys()),
        "no_room_to_buy": no_room_to_buy(plan, asked.free, has_tanks=Tank.objects.exists()),
        "keeping": _keeping(today),
    }


def _keeping(today: datetime.date) -> list[tuple[Litter, str]]:
    """Litters with young to decide of, and whom of them to hold back: what loses most first."""
    return [
        (one, answer_of_stakes(stakes, {pup.sex for pup in waiting}, which="undecided"))
        for one, waiting, stakes in undecided_litters(today)
    ]


@require_safe
def unknown(request: PageRequest) -> HttpResponse:
    """What to write down first: what would change the plan most, if it were known."""
    asked = ask_season(request, request.GET)
    form = asked.form
    context: dict[str, Any] = {"asked": request.GET.urlencode(), "rows": []}
    if form.is_valid():
        hers, his = asked.chosen
        try:
            if hers and his:
                context["rows"] = first_to_write(
                    hers,
                    his,
                    form.wishes(),
                    lineage.current(),
                    queries.living_keys(),
                    queries.trait_chances(form.wished_trait, form.wishes(), hers, his),
                    litter=form.litter.young,
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
    """Planned pairings that wait for their day, with what the season's plan says of them."""
    context = {
        "waiting": waiting_as_told(request.program, clock.today()),
        "given_up": queries.given_up(),
    }
    return render(request, "planning/waiting.html", context)
