"""Pages of water that several tanks share: all of them, a new one, one joined to another."""

from django.db.models import Prefetch
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.housing.forms import SystemForm
from breeding.housing.models import Tank, WaterSystem
from breeding.housing.water.systems import add_system
from breeding.program.acts.joining import joining
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.words.language import tell, tell_many


@require_safe
def systems(request: PageRequest) -> HttpResponse:
    """Every shared water, with the tanks that share it."""
    standing = Prefetch("tanks", queryset=Tank.objects.all(), to_attr="standing_tanks")
    known = list(WaterSystem.every.select_related("withdrawn_by").prefetch_related(standing))
    context = {
        "systems": [one for one in known if not one.is_withdrawn],
        "withdrawn": [one for one in known if one.is_withdrawn],
    }
    return render(request, "housing/systems.html", context)


@keepers_only
def new_system(request: PageRequest) -> HttpResponse:
    """Write down a shared water."""
    form = SystemForm(request.POST or None)
    if system := written(request, form, lambda: add_system(by=request.user, **form.cleaned_data)):
        say(request, tell("The shared water {water} is written down.", water=system))
        return redirect(system)
    return render(request, "housing/new_system.html", {"form": form})


@keepers_only
def join_system(request: PageRequest, pk: int) -> HttpResponse:
    """Let the tanks of a shared water share another, and withdraw it."""
    system = get_object_or_404(WaterSystem, pk=pk)
    form, moved = joining(request, system)
    if moved is not None:
        into = form.cleaned_data["into"]
        words = tell_many(
            "{number} tank of {water} went to {other}.",
            "{number} tanks of {water} went to {other}.",
            moved,
            water=system,
            other=into,
        )
        say(request, words)
        return redirect(into)
    return render(request, "housing/join_system.html", {"form": form, "system": system})
