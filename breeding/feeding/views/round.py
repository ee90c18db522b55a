"""Pages on which rounds are written down, and those of rounds that were."""

from collections.abc import Iterable, Sequence
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.feeding import rounds as scenes
from breeding.feeding import services
from breeding.feeding.forms import RoundForm
from breeding.feeding.models import Feeding, Meal
from breeding.feeding.tables import ALL_ROUNDS
from breeding.housing.models import Tank
from breeding.housing.queries import inside_now, tanks_in_use
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import sure_in
from breeding.words.language import sentences, tell
from breeding.words.numbers import some

PLACES = {"eaters": "food"}
MOST_ANIMALS = 100


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """A round through all tanks: what each had last, who has not eaten, what to give."""
    page = scenes.rounds_of(request.program, clock.today(), request.GET.get("page"))
    return render(request, "feeding/index.html", {"page": page})


@keepers_only
def tank(request: PageRequest, pk: int) -> HttpResponse:
    """Feed one tank, and others the same: all ate, unless it is said of one that it did not."""
    fed = get_object_or_404(Tank, pk=pk)
    scene = scenes.round_of_tank(fed, request.program, clock.today())
    if scene is None:
        return render(request, "feeding/_nobody.html", {"tank": fed})
    others = [(one, number) for one, number in tanks_in_use() if one.pk != fed.pk]
    return _feed(request, scene, others=others)


@keepers_only
def some_animals(request: PageRequest) -> HttpResponse:
    """Feed some animals, wherever they are: `animal` in the address, as often as needed."""
    asked = [int(one) for one in request.GET.getlist("animal") if one.isdecimal() and len(one) < 12]
    found = Animal.objects.filter(pk__in=asked[:MOST_ANIMALS]).exclude(state__in=GONE)
    animals = list(found.order_by("call_name", "code"))
    if not animals:
        raise Http404("No animal that is here is asked for.")
    return feed_animals(request, animals)


def feed_animals(
    request: PageRequest,
    animals: Sequence[Animal],
    *,
    whom: str = "",
    back: tuple[str, str] = ("", ""),
) -> HttpResponse:
    """The page for these, at least one. whom: what they are called together, as "litter 26-04".

    back: what is above the page and where it is; it is shown once they are fed.
    """
    scene = scenes.round_of_animals(animals, request.program, clock.today())
    return _feed(request, scene, whom=whom, back=back)


def _feed(
    request: PageRequest,
    scene: scenes.Round,
    others: Sequence[tuple[Tank, int]] = (),
    *,
    whom: str = "",
    back: tuple[str, str] = ("", ""),
) -> HttpResponse:
    where = scene.tank or whom or some([one.name for one in scene.animals], scenes.MOST_NAMED)
    last, middle = scene.last, scene.suggestion.middle_g
    usual = last.amount_g if last and last.amount_g is not None and scene.tank else None
    form = RoundForm(
        request.POST or None,
        animals=scene.animals,
        program=request.program,
        now=clock.now(),
        others=[one for one, _ in others],
        initial={
            "food": last.food_id if last else None,
            "usual_g": "" if usual is None else f"{usual:f}",
            "when": "now",
        },
    )
    said = written(
        request,
        form,
        lambda: _write(request, form, scene, [one for one, _ in others], whom),
        PLACES,
    )
    if said is not None:
        say(request, said)
        return redirect(back[1] or _after(scene))
    context = {
        "form": form,
        "scene": scene,
        "where": where,
        "back": back,
        "eaters": [(one, form[f"took_{one.animal.pk}"]) for one in scene.eaters],
        "foods": scenes.foods_to_offer(last.food if last else None, clock.today()),
        "usual": usual,
        "middle": middle if middle != float(usual or 0) else None,
        "others": others,
        "tooks": Meal.Took.choices,
    }
    return render(request, "feeding/tank.html", context)


def _after(scene: scenes.Round) -> str:
    """To the next tank; from one animal back to its page."""
    if scene.tank is None and len(scene.eaters) == 1:
        return scene.eaters[0].animal.get_absolute_url()
    return "feeding:index"


def _write(
    request: PageRequest, form: RoundForm, scene: scenes.Round, others: Iterable[Tank], whom: str
) -> str:
    """The round, and the same food for the tanks that were ticked; what was written, in words."""
    facts, unit = form.cleaned_data, request.program.weight_unit
    food = facts["food"]
    if facts["new_food"]:
        food = services.food_named(facts["new_food"], by=request.user)
    common: dict[str, Any] = {
        "food": food,
        "fed_at": facts["fed_at"],
        "now": clock.now(),
        "by": request.user,
        "note": facts["note"],
        "sure": sure_in(request.POST),
    }
    eaters = form.eaters()
    feeding = services.feed(eaters, tank=scene.tank, amount_g=facts["amount_g"], **common)
    where = scene.tank or whom or some([one.name for one in eaters], scenes.MOST_NAMED)
    what = scenes.feeding_words(feeding, unit)
    made = scenes.took_words(eaters)
    said = [tell("Written: {animals}, {food}: {made}.", animals=where, food=what, made=made)]
    for other in (one for one in others if str(one.pk) in facts["also"]):
        services.feed(dict.fromkeys(inside_now(other), Meal.Took.ALL.value), tank=other, **common)
        said.append(tell("{tank}: all ate, not weighed.", tank=other))
    return sentences(*said)


@require_safe
def rounds(request: PageRequest) -> HttpResponse:
    """Every round, the latest first."""
    return list_page(request, "feeding/rounds.html", ALL_ROUNDS)


@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """One round: what, how much, when, and what each animal made of it."""
    known = Feeding.objects.select_related("food", "tank", "recorded_by", "withdrawn_by")
    feeding = get_object_or_404(known, pk=pk)
    context = {
        "feeding": feeding,
        "what": scenes.feeding_words(feeding, request.program.weight_unit),
        "meals": feeding.meals.select_related("animal").order_by("took", "animal__call_name"),
    }
    return render(request, "feeding/detail.html", context)
