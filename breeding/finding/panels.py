"""What finding adds to the pages of animals and tanks: the card to scan."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal
from breeding.housing.models import Tank


def card_panel(request: HttpRequest, about: Animal | Tank) -> str:
    """A link to where its card is printed."""
    context = {"about": about, "of": "animal" if isinstance(about, Animal) else "of_tank"}
    return render_to_string("finding/_card_panel.html", context, request)
