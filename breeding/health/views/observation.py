"""Pages on what ails an animal: seen, and seen to be over."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from breeding.animals.models import Animal
from breeding.health.illness.first import first_steps, words_of_kind
from breeding.health.illness.forms import ObservationForm, OverForm
from breeding.health.illness.observing import end_observation
from breeding.health.illness.observing import observe as observe_it
from breeding.health.illness.standing import inside
from breeding.health.models import Observation
from breeding.housing.models import Tank
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import sure_in
from breeding.words.language import later, tell


@keepers_only
def observe(request: PageRequest) -> HttpResponse:
    """Write down what ails an animal: who, what, since when."""
    today = clock.today()
    form = ObservationForm(
        request.POST or None,
        request.FILES or None,
        today=today,
        initial={"animal": request.GET.get("animal")},
    )
    found = written(
        request,
        form,
        lambda: observe_it(
            today=today, by=request.user, sure=sure_in(request.POST), **form.cleaned_data
        ),
    )
    if found is not None:
        said = tell(
            "Written: {animal}, {what}.", animal=found.animal.name, what=found.get_kind_display()
        )
        say(request, said, words_of_kind(found.kind))
        return redirect(found.animal)
    chosen = str(form["animal"].value() or "")
    context = {
        "form": form,
        "offered": _offered(request, chosen),
        "chosen": chosen,
        "first": first_steps(),
    }
    return render(request, "health/observe.html", context)


def _offered(request: PageRequest, chosen: str) -> list[Animal]:
    """As tiles: the one whose page it came from, or those of a tank."""
    if chosen.isdecimal() and len(chosen) < 12:
        return list(Animal.objects.filter(pk=chosen).select_related("portrait"))
    asked = request.GET.get("tank", "")
    if asked.isdecimal() and len(asked) < 12:
        tank = Tank.objects.filter(pk=asked).first()
        return inside(tank, clock.today()) if tank is not None else []
    return []


@keepers_only
def over(request: PageRequest, pk: int) -> HttpResponse:
    """It was seen to be over: today, by one tap, or on another day."""
    rows = Observation.every.select_related("animal", "photograph")
    found = get_object_or_404(rows, pk=pk)
    today = clock.today()
    form = OverForm(request.POST or None, initial={"on": today})
    ended = written(
        request,
        form,
        lambda: end_observation(found, on=form.cleaned_data["on"], today=today),
    )
    if ended is not None:
        say(
            request,
            tell(
                "{animal}: “{what}” is over.",
                animal=ended.animal.name,
                what=later(ended.get_kind_display),
            ),
        )
        return redirect(ended.animal)
    return render(request, "health/over.html", {"form": form, "found": found})
