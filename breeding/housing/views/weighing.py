"""Weighing the animals of a tank in one table."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404

from breeding.animals.models import Animal
from breeding.animals.weighing.page import weighing_page
from breeding.housing.models import Tank
from breeding.housing.queries import present_stays
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest


@keepers_only
def weigh(request: PageRequest, pk: int) -> HttpResponse:
    """Size, weight and condition of all that are in it."""
    tank = get_object_or_404(Tank, pk=pk)
    here = present_stays().filter(tank=tank).values("animal")
    animals = list(
        Animal.objects.filter(pk__in=here).select_related("portrait").order_by("call_name", "code")
    )
    return weighing_page(
        request,
        "housing/weigh.html",
        animals,
        about={"tank": tank, "has_females": any(one.sex == Animal.Sex.FEMALE for one in animals)},
        back=tank.get_absolute_url(),
    )
