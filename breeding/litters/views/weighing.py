"""Weighing the pups of a litter in one table."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect

from breeding.animals.models import Animal
from breeding.animals.weighing.page import weighing_page
from breeding.litters.models import Litter
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest


@keepers_only
def weigh(request: PageRequest, pk: int) -> HttpResponse:
    """Disc width, weight and condition of all its young that are here."""
    litter = get_object_or_404(Litter.objects.select_related("dam"), pk=pk)
    if litter.is_withdrawn:
        return redirect(litter)
    young = Animal.objects.filter(
        pup_rows__litter=litter, pup_rows__withdrawn_at__isnull=True, state=Animal.State.HERE
    )
    animals = list(young.select_related("portrait").order_by("pup_rows__number"))
    return weighing_page(
        request,
        "litters/weigh.html",
        animals,
        about={"litter": litter},
        back=litter.get_absolute_url(),
    )
