"""Pages of pairings: put together, looked at, taken apart."""

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.animals.queries import pair_words
from breeding.pairings import queries, services
from breeding.pairings.care.places import best_few
from breeding.pairings.care.rest import rest_caution
from breeding.pairings.care.separation import (
    day_typed,
    late_words,
    parted_with,
    scene_of,
    separation_of,
)
from breeding.pairings.care.wounds import harm_of
from breeding.pairings.company.together import moves_offered
from breeding.pairings.forms import (
    PairingForm,
    PlanForm,
    SeparateForm,
)
from breeding.pairings.models import Pairing
from breeding.pairings.season.drawings import draw_season
from breeding.pairings.season.reading import season_of
from breeding.pairings.tables import ALL_PAIRINGS
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.problems.beside import add_problems, written
from breeding.program.problems.doubts import reason_in, sure_in, too_long
from breeding.words.language import tell


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Who is together now, and who was."""
    return list_page(request, "pairings/index.html", ALL_PAIRINGS)


@keepers_only
def new(request: PageRequest) -> HttpResponse:
    """Put two together: first the pair is looked at, then it is saved."""
    today = clock.today()
    chosen = {name: request.GET.get(name) for name in ("female", "male")}
    with_gone = "gone" in request.GET or request.method == "POST"
    form = PairingForm(request.POST or None, today=today, initial=chosen, with_gone=with_gone)
    check = None
    rest = ""
    reason = request.POST.get("reason", "").strip()
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        try:
            check = queries.check_pair(facts["female"], facts["male"], request.program)
            rest = rest_caution(facts["female"], request.program, on=facts["introduced_on"])
            if not facts["separated_on"]:
                form.offer_moves(
                    moves_offered(facts["female"], facts["male"], facts["introduced_on"])
                )
        except ValidationError as problem:
            add_problems(form, problem)
    if words := too_long(reason, tell("Why these two all the same?")):
        form.add_error(None, words)
    elif check is not None and _was_looked_at(request, form, rest):
        facts = form.cleaned_data | {
            "reason": reason or reason_in(request.POST),
            "program": request.program,
            "moved": form.moved,
            "sure": sure_in(request.POST),
        }
        if pairing := written(
            request, form, lambda: services.open_pairing(**facts, by=request.user, today=today)
        ):
            say(
                request,
                tell(
                    "{pairing} are together. {follows}", pairing=pairing, follows=pairing.follows
                ).strip(),
            )
            return redirect(pairing)
    context = {
        "form": form,
        "check": check,
        "reason": reason,
        "rest": rest,
        "missing": _missing_sexes(),
        "with_gone": with_gone,
    }
    return render(request, "pairings/new.html", context)


def _missing_sexes() -> str:
    """What is needed before two can be put together; empty once both sexes are on record."""
    sexes = set(Animal.objects.order_by().values_list("sex", flat=True).distinct())
    if sexes >= {"F", "M"}:
        return ""
    if "F" in sexes:
        return tell("A male is needed first: none is on record.")
    if "M" in sexes:
        return tell("A female is needed first: none is on record.")
    return tell("A female and a male are needed first: neither is on record.")


def _was_looked_at(request: PageRequest, form: PairingForm, rest: str) -> bool:
    """Whether this very pair, and what is said of her rest, was on the page that is saved."""
    female, male = form.cleaned_data["female"], form.cleaned_data["male"]
    seen = request.POST.get("looked_at") == f"{female.pk}-{male.pk}"
    rest_seen = not rest or request.POST.get("rest_seen") == rest
    return seen and rest_seen and "save" in request.POST


@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """One pairing: the two, what their young would be, and her season."""
    pairing = get_object_or_404(Pairing.objects.select_related("female", "male"), pk=pk)
    season = season_of(pairing.female, request.program, asof=clock.today())
    context = {
        "pairing": pairing,
        "pair": pair_words(pairing.male, pairing.female),
        "season": season,
        "drawing": draw_season(season),
        "is_current": any(pairing in one.pairings for one in season.company),
        "separation": separation_of(pairing, request.program),
        "harm": harm_of(season) if pairing.is_open else None,
    }
    return render(request, "pairings/detail.html", context)


@keepers_only
def separate(request: PageRequest, pk: int) -> HttpResponse:
    """Take the two apart; moving the male or closing the divider is gentler on her."""
    pairing = get_object_or_404(Pairing.objects.select_related("female", "male"), pk=pk)
    today = clock.today()
    on = day_typed(request.POST.get("on", ""), today)
    scene = scene_of(pairing, on, request.program)
    known = {"on": today, "moved": Pairing.Moved.MALE}
    form = SeparateForm(request.POST or None, initial=known, scene=scene)
    late = late_words(season_of(pairing.female, request.program, asof=on), on)
    asks_again = (
        form.is_valid() and bool(late) and form.cleaned_data["moved"] == Pairing.Moved.FEMALE
    )
    if not asks_again or "late_seen" in request.POST:
        done = written(
            request,
            form,
            lambda: services.separate(
                pairing,
                today=today,
                by=request.user,
                sure=sure_in(request.POST),
                reason=reason_in(request.POST),
                **form.cleaned_data,
            ),
        )
        if done:
            apart = [str(one) for one in parted_with(pairing)]
            say(
                request,
                *(tell("{animal} are apart.", animal=one) for one in apart),
                done.follows,
            )
            return redirect("pairings:female", pairing.female_id)
    context = {
        "form": form,
        "pairing": pairing,
        "scene": scene,
        "places": best_few(scene.proposals, str(form["tank"].value())),
        "late": late,
        "asks_again": asks_again,
        "every": "every" in request.GET,
        "any_tank": bool(scene.home or scene.proposals),
    }
    return render(request, "pairings/separate.html", context)


@keepers_only
def plan(request: PageRequest, pk: int) -> HttpResponse:
    """Until when the two are meant to be together, by the keeper's own plan."""
    pairing = get_object_or_404(Pairing.objects.select_related("female", "male"), pk=pk)
    known = {"separation_planned_on": pairing.separation_planned_on}
    form = PlanForm(request.POST or None, initial=known)
    if written(
        request,
        form,
        lambda: services.plan_separation(pairing, on=form.cleaned_data["separation_planned_on"]),
    ):
        say(request, tell("The plan for {pairing} is saved.", pairing=pairing))
        return redirect(pairing)
    return render(request, "pairings/plan.html", {"form": form, "pairing": pairing})
