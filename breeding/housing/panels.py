"""What the housing room adds to an animal's page: where it is."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.housing.queries import with_those_beside
from breeding.housing.stays.shared_water import share_water


def place_panel(request: HttpRequest, animal: Animal) -> str:
    """The tank it is in and who is with it, for an animal that is here or on loan."""
    if animal.state in GONE:
        return ""
    there = with_those_beside(animal)
    stay = next((one for one in reversed(there) if one.animal_id == animal.pk), None)
    beside = [one.animal for one in there if stay and one.pk != stay.pk and share_water(one, stay)]
    context = {
        "animal": animal,
        "stay": stay,
        "companions": sorted(beside, key=lambda one: (one.call_name, one.code)),
    }
    return render_to_string("housing/_place_panel.html", context, request)
