"""What a death adds to the page of its animal."""

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.health.dying.beside import beside_death
from breeding.health.models import Death
from breeding.program import clock


def animal_panel(request: HttpRequest, animal: Animal) -> str:
    """How it died, what was so at the time, and the way to say it; nothing for the living."""
    rows = list(
        Death.every.filter(animal=animal).select_related(
            "photograph", "recorded_by", "withdrawn_by"
        )
    )
    if animal.state != Animal.State.DIED and not rows:
        return ""
    for row in rows:
        row.animal = animal
    has_died = animal.state == Animal.State.DIED
    context = {
        "animal": animal,
        "has_died": has_died,
        "death": next((row for row in rows if not row.is_withdrawn), None),
        "beside": beside_death(animal, today=clock.today()) if has_died else None,
        "withdrawn": [row for row in rows if row.is_withdrawn],
    }
    return render_to_string("health/_death_panel.html", context, request)


def page_of_death(animal: Animal) -> str:
    """Where it is asked how it died, once it is said that it did."""
    if animal.state != Animal.State.DIED or Death.objects.filter(animal=animal).exists():
        return ""
    return reverse("health:death", args=[animal.pk])
