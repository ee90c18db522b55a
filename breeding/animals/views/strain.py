"""Pages of strains: all of them, a new one, and one that is joined to another."""

from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Strain
from breeding.animals.species.forms import StrainForm
from breeding.animals.species.strains import add_strain
from breeding.program.acts.joining import joining
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.words.language import tell, tell_many


@require_safe
def strains(request: PageRequest) -> HttpResponse:
    """Every strain, with its species, what it looks like, and how many animals are of it."""
    counting = Count("animals", filter=Q(animals__withdrawn_at__isnull=True))
    known = Strain.every.select_related("species", "withdrawn_by").annotate(animals_of_it=counting)
    context = {
        "strains": [one for one in known if not one.is_withdrawn],
        "withdrawn": [one for one in known if one.is_withdrawn],
    }
    return render(request, "animals/strains.html", context)


@keepers_only
def new_strain(request: PageRequest) -> HttpResponse:
    """Write down a strain."""
    form = StrainForm(request.POST or None)
    if strain := written(request, form, lambda: add_strain(by=request.user, **form.cleaned_data)):
        say(request, tell("The strain {strain} is written down.", strain=strain))
        return redirect(strain)
    return render(request, "animals/new_strain.html", {"form": form})


@keepers_only
def join_strain(request: PageRequest, pk: int) -> HttpResponse:
    """Give the animals and wishes of a strain to another, and withdraw it."""
    strain = get_object_or_404(Strain, pk=pk)
    form, moved = joining(request, strain)
    if moved is not None:
        into = form.cleaned_data["into"]
        said = tell_many(
            "{number} record of {strain} went to {other}.",
            "{number} records of {strain} went to {other}.",
            moved,
            strain=strain,
            other=into,
        )
        say(request, said)
        return redirect(into)
    return render(request, "animals/join_strain.html", {"form": form, "strain": strain})
