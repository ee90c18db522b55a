"""What the housing room adds to an animal's page: where it is."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal
from breeding.housing.readings import where_are


def place_panel(request: HttpRequest, animal: Animal) -> str:
    """The tank it is in, for an animal that is here."""
    if not animal.is_here:
        return ""
    context = {"animal": animal, "stay": where_are([animal]).get(animal.pk)}
    return render_to_string("housing/_place_panel.html", context, request)
