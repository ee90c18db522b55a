"""One more pup of a litter."""

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from breeding.litters import services
from breeding.litters.forms import (
    PupForm,
)
from breeding.litters.models import Litter, Pup
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import sure_in


@keepers_only
def add_pup(request: PageRequest, pk: int) -> HttpResponse:
    """One more pup of a recorded litter."""
    litter = get_object_or_404(Litter.objects.select_related("dam"), pk=pk)
    form = PupForm(request.POST or None, program=request.program)
    if written(request, form, lambda: _add_pup(request, litter, form)):
        say(request, f"One more pup is in litter {litter.code}.")
        return redirect(litter)
    return render(request, "litters/add_pup.html", {"form": form, "litter": litter})


def _add_pup(request: PageRequest, litter: Litter, form: PupForm) -> Pup:
    if form.facts is None:
        raise ValidationError({"fate": "Say whether this pup is alive or dead."})
    return services.add_pup(litter, form.facts, by=request.user, sure=sure_in(request.POST))
