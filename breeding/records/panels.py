"""What the room `records` adds to an animal's page."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal


def history_panel(request: HttpRequest, animal: Animal) -> str:
    """The way to everything that was changed about it, for those who may write."""
    return render_to_string("records/_animal_panel.html", {"animal": animal}, request)
