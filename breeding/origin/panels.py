"""What the room `origin` adds to an animal's page."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal


def origin_panel(request: HttpRequest, animal: Animal) -> str:
    """The way to its proof of origin."""
    return render_to_string("origin/_animal_panel.html", {"animal": animal}, request)
