"""What the housing room adds to an animal's page: where it is."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal
from breeding.housing.models import GONE
from breeding.housing.queries import companions, where_are


def place_panel(request: HttpRequest, animal: Animal) -> str:
    """The tank it is in and who is with it, for an animal that is here or on loan."""
    if animal.state in GONE:
        return ""
    stay = where_are([animal]).get(animal.pk)
    context = {"animal": animal, "stay": stay, "companions": companions(animal) if stay else []}
    return render_to_string("housing/_place_panel.html", context, request)
