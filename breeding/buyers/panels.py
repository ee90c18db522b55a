"""What the buyers' room adds to an animal's page: for whom it is kept, to whom it went."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal
from breeding.animals.queries import is_of_this_year
from breeding.buyers.queries import buyers_of
from breeding.program import clock


def buyers_panel(request: HttpRequest, animal: Animal) -> str:
    """The reservation and the hand-overs, with what can be done next."""
    context = {
        "animal": animal,
        "buyers": buyers_of(animal),
        "is_young": is_of_this_year(animal, clock.today()),
    }
    return render_to_string("buyers/_animal_panel.html", context, request)
