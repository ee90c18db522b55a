"""The page that asks how an animal died."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from breeding.animals.models import Animal
from breeding.health.dying.beside import beside_death
from breeding.health.dying.forms import DeathForm
from breeding.health.dying.services import tell_death
from breeding.health.models import Death
from breeding.program import clock
from breeding.program.acts.mending import change_address_of
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.words.language import tell


@keepers_only
def death(request: PageRequest, pk: int) -> HttpResponse:
    """How it died, beside what is on record of the time; one that is told already is changed."""
    animal = get_object_or_404(Animal, pk=pk)
    form = DeathForm(request.POST or None, request.FILES or None)
    told = written(
        request,
        form,
        lambda: tell_death(
            animal,
            form.told(),
            photograph=form.cleaned_data["photograph"],
            today=clock.today(),
            by=request.user,
        ),
    )
    if told is not None:
        say(
            request,
            tell(
                "Written: how {animal} died ({cause}).",
                animal=animal.name,
                cause=told.cause_words,
            ),
        )
        return redirect(animal)
    known = Death.objects.filter(animal=animal).first()
    has_died = animal.state == Animal.State.DIED
    context = {
        "form": form,
        "animal": animal,
        "has_died": has_died,
        "change_address": change_address_of(known) if known else "",
        "beside": beside_death(animal, today=clock.today()) if has_died else None,
    }
    return render(request, "health/death.html", context)
