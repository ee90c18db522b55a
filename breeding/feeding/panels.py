"""What the room of feeding adds to the page of an animal, and to that of a tank."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.away.gone import GONE
from breeding.animals.growth.measured import measurements_of_one
from breeding.animals.models import Animal
from breeding.feeding.foods_taken import feeds_on_of
from breeding.feeding.models import Feeding, Meal
from breeding.feeding.queries import appetites
from breeding.feeding.rations.bodies import bodies_of, suggestion_for
from breeding.feeding.rounds import appetite_words, feeding_words
from breeding.housing.models import Tank
from breeding.program import clock

MEALS_SHOWN = 6
MEALS_READ = 150  # as many as there are within the days that tell what it feeds on
ROUNDS_SHOWN = 6


def appetite_panel(request: HttpRequest, animal: Animal) -> str:
    """How it eats: the last meals, what it feeds on, and its ration."""
    today, program = clock.today(), request.program  # type: ignore[attr-defined]
    meals = Meal.objects.filter(animal=animal, feeding__withdrawn_at__isnull=True)
    meals = meals.select_related("feeding__food").order_by("-fed_at", "-pk")
    latest = list(meals[:MEALS_READ])
    shown = latest[:MEALS_SHOWN]
    is_gone = animal.state in GONE
    if is_gone and not shown:
        return ""
    appetite = appetites([animal.pk], today)[animal.pk]
    measured = measurements_of_one(animal)
    bodies = [] if is_gone else bodies_of([animal], today, program=program, measured=measured)
    context = {
        "animal": animal,
        "is_gone": is_gone,
        "meals": shown,
        "words": "" if is_gone else appetite_words(appetite, today),
        "is_off_food": appetite.is_off_food and not is_gone,
        "feeds_on": (fed := feeds_on_of(latest, today, is_all=len(latest) < MEALS_READ)),
        "foods_lately": [one.food for one in fed],
        "body": bodies[0] if bodies else None,
        "suggestion": suggestion_for(bodies, unit=program.weight_unit, rounds_a_week=None)
        if bodies
        else None,
    }
    return render_to_string("feeding/_animal_panel.html", context, request)


def tank_panel(request: HttpRequest, tank: Tank) -> str:
    """The last rounds of a tank."""
    unit = request.program.weight_unit  # type: ignore[attr-defined]
    rounds = Feeding.objects.filter(tank=tank, withdrawn_at__isnull=True).select_related("food")
    latest = list(rounds.order_by("-fed_at", "-pk")[:ROUNDS_SHOWN])
    refused = Meal.objects.filter(feeding__in=latest, took=Meal.Took.NONE)
    names: dict[int, list[str]] = {}
    for meal in refused.select_related("animal"):
        names.setdefault(meal.feeding_id, []).append(meal.animal.name)
    context = {
        "tank": tank,
        "rounds": [(one, feeding_words(one, unit), names.get(one.pk, [])) for one in latest],
    }
    return render_to_string("feeding/_tank_panel.html", context, request)


def house_act(request: HttpRequest, about: object) -> str:
    """Feeding from the drawing of the house."""
    return render_to_string("feeding/_house_act.html", {}, request)
