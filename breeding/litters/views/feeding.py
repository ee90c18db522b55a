"""Feeding the young of a litter in one round."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect

from breeding.animals.models import Animal
from breeding.feeding.views.round import feed_animals
from breeding.litters.models import Litter
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.words.language import tell


@keepers_only
def feed(request: PageRequest, pk: int) -> HttpResponse:
    """What all its young that are here had, and who of them left it."""
    litter = get_object_or_404(Litter, pk=pk)
    young = Animal.objects.filter(
        pup_rows__litter=litter, pup_rows__withdrawn_at__isnull=True, state=Animal.State.HERE
    )
    animals = list(young.select_related("portrait").order_by("pup_rows__number"))
    if litter.is_withdrawn or not animals:
        return redirect(litter)
    return feed_animals(
        request,
        animals,
        whom=tell("litter {code}", code=litter.code),
        back=(tell("Litter {code}", code=litter.code), litter.get_absolute_url()),
    )
