"""What health adds to the pages of animals, tanks and water tests."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal
from breeding.health.doors import treatments_in_water
from breeding.health.illness.first import first_steps
from breeding.health.illness.medicines import harm_words, harmful_in, words_of_treated
from breeding.health.illness.standing import health_of, inside, of_the_water
from breeding.health.models import Treatment, Visit
from breeding.housing.models import Tank
from breeding.program import clock

SHOWN = 12


def animal_panel(request: HttpRequest, animal: Animal) -> str:
    """Open things first, then the history, folded."""
    context = {
        "animal": animal,
        "health": health_of(animal, clock.today()),
        "first": first_steps(),
    }
    return render_to_string("health/_animal_panel.html", context, request)


def tank_panel(request: HttpRequest, tank: Tank) -> str:
    """What is in the water now, and what was."""
    today = clock.today()
    rows = list(of_the_water(tank)[: 4 * SHOWN])
    given = [one for one in rows if not one.is_withdrawn][: 2 * SHOWN]
    visits = Visit.every.filter(tank=tank).select_related("tank", "recorded_by", "withdrawn_by")
    seen = list(visits[:SHOWN])
    context = {
        "tank": tank,
        "going": [one for one in given if one.goes_on(today)],
        "past": [one for one in given if not one.goes_on(today)][:SHOWN],
        "visits": [one for one in seen if not one.is_withdrawn],
        "withdrawn": [
            *[one for one in rows if one.is_withdrawn and one.tank_id == tank.pk][:SHOWN],
            *(one for one in seen if one.is_withdrawn),
        ],
    }
    return render_to_string("health/_tank_panel.html", context, request)


def treated_with(tank: Tank) -> list[tuple[Treatment, str]]:
    """What is in the water today, each with what it is known to do to those in it."""
    today = clock.today()
    found = treatments_in_water(tank, today)
    kinds = words_of_treated(inside(tank, today)) if found else None
    return [
        (one, harm_words(harmful_in(one.remedy, kinds), kinds) if kinds else "") for one in found
    ]


def water_panel(request: HttpRequest, tank: Tank) -> str:
    """Beside a test of its water: what was in it."""
    found = treated_with(tank)
    context = {"treatments": found, "tank": tank}
    return render_to_string("health/_water_panel.html", context, request) if found else ""
