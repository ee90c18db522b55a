"""What the room `records` adds to an animal's page."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal


def chronicle_panel(request: HttpRequest, animal: Animal) -> str:
    """The way to all that was written of it; nothing is read for that here."""
    return render_to_string("records/_animal_panel.html", {"animal": animal}, request)
