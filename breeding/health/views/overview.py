"""Who is not well, what is given, and who is held: of everybody, on one page."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.health.holds import holds_on
from breeding.health.illness.standing import (
    open_observations,
    standing_treatments,
    visits_to_follow,
)
from breeding.program import clock
from breeding.program.frame.requests import PageRequest


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Open observations, treatments that go on or hold, visits to follow, and all who are held."""
    today = clock.today()
    here = {one.pk: one for one in Animal.objects.filter(state=Animal.State.HERE)}
    held = holds_on(here, today)
    treatments = standing_treatments(today)
    context = {
        "observations": open_observations(today),
        "going": [one for one in treatments if one.goes_on(today)],
        "visits": visits_to_follow(today),
        "held": sorted(
            ((here[key], holds) for key, holds in held.items()), key=lambda one: one[0].name
        ),
    }
    return render(request, "health/index.html", context)
