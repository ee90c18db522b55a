"""Pages about one animal's stays: all of them, old news, corrections."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal, Loan
from breeding.housing import queries
from breeding.housing.models import Stay, Tank
from breeding.housing.stays import corrections
from breeding.housing.stays.following import said_of
from breeding.housing.stays.forms import CorrectionForm, StayForm
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import reason_in, sure_in
from breeding.words.language import tell


@require_safe
def stays(request: PageRequest, animal_pk: int) -> HttpResponse:
    """Where an animal was and is, newest first, with what was withdrawn or corrected."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    found = list(
        Stay.every.filter(animal=animal)
        .select_related("tank", "animal", "withdrawn_by")
        .order_by("-since", "-pk")
    )
    context = {
        "animal": animal,
        "stays": [stay for stay in found if not stay.is_withdrawn],
        "withdrawn": [stay for stay in found if stay.is_withdrawn],
        "loans": Loan.every.filter(animal=animal).select_related("animal", "withdrawn_by"),
    }
    return render(request, "housing/stays.html", context)


@keepers_only
def earlier(request: PageRequest, animal_pk: int) -> HttpResponse:
    """Old news: an animal was in a tank from a day to a day."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    form = StayForm(request.POST or None, tanks=Tank.every.all(), today=clock.today())
    if stay := written(
        request,
        form,
        lambda: corrections.record_earlier_stay(
            animal, by=request.user, **_stay_facts(form), **_answers(request)
        ),
        {"side": "place", "on": "since"},
    ):
        said = said_of([stay])
        done = tell("Written: {animal} was in {place} then.", animal=animal.name, place=stay.place)
        say(request, done, said)
        return redirect("housing:stays", animal.pk)
    known = queries.stays_of([animal])[animal.pk][::-1]
    return render(request, "housing/earlier.html", {"form": form, "animal": animal, "stays": known})


def _stay_facts(form: StayForm) -> dict[str, Any]:
    tank, side = form.cleaned_data["place"]
    rest = {name: value for name, value in form.cleaned_data.items() if name != "place"}
    return {"tank": tank, "side": side, **rest}


def _answers(request: PageRequest) -> dict[str, Any]:
    return {"sure": sure_in(request.POST), "sure_reason": reason_in(request.POST)}


@keepers_only
def correct(request: PageRequest, pk: int) -> HttpResponse:
    """Write a stay anew with other days or another tank; the old one is kept with the reason."""
    stay = get_object_or_404(Stay.every.select_related("animal", "tank"), pk=pk)
    form = CorrectionForm(
        request.POST or None,
        tanks=Tank.every.all(),
        today=clock.today(),
        initial={
            "place": f"{stay.tank_id}:{stay.side}" if stay.side else f"{stay.tank_id}",
            "since": stay.since,
            "until": stay.until,
        },
    )
    if corrected := written(
        request,
        form,
        lambda: corrections.correct_stay(
            stay, by=request.user, now=clock.now(), **_stay_facts(form), **_answers(request)
        ),
        {"side": "place", "tank": "place"},
        changing=stay,
    ):
        said = said_of([corrected])
        done = tell("The stay is corrected; how it stood can be read below.")
        say(request, done, said)
        return redirect("housing:stays", stay.animal_id)
    return render(request, "housing/correct.html", {"form": form, "stay": stay})
