"""Pages of the housing room: tanks, and who is in them."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.housing import readings, services
from breeding.housing.forms import MoveForm, TankForm
from breeding.housing.models import Tank
from breeding.program import clock
from breeding.program.decorators import keepers_only
from breeding.program.problems import add_problems
from breeding.program.requests import PageRequest

PAST_SHOWN = 100


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Every tank and who is in it since when, and who is in none."""
    context = {
        "tanks": readings.tanks_with_animals(),
        "without": list(readings.in_no_tank()),
        "any_animal": Animal.objects.exists(),
    }
    return render(request, "housing/index.html", context)


@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """One tank: who is here, and who was."""
    tank = get_object_or_404(Tank, pk=pk)
    stays = list(tank.stays.select_related("animal"))
    past = [stay for stay in stays if not stay.is_present]
    context = {
        "tank": tank,
        "present": [stay for stay in stays if stay.is_present],
        "past": past[:PAST_SHOWN],
        "more": max(0, len(past) - PAST_SHOWN),
    }
    return render(request, "housing/detail.html", context)


@keepers_only
def new(request: PageRequest) -> HttpResponse:
    """A new tank."""
    return _edit(request, Tank(), "housing/new.html")


@keepers_only
def edit(request: PageRequest, pk: int) -> HttpResponse:
    """Change a tank."""
    return _edit(request, get_object_or_404(Tank, pk=pk), "housing/edit.html")


def _edit(request: PageRequest, tank: Tank, page: str) -> HttpResponse:
    form = TankForm(request.POST or None, instance=tank, program=request.program)
    if request.method == "POST" and form.is_valid():
        saved = form.save()
        messages.success(request, f"{saved} is saved.")
        return redirect(saved)
    return render(request, page, {"form": form, "tank": tank})


@keepers_only
def move(request: PageRequest, animal_pk: int) -> HttpResponse:
    """Move an animal to another tank, or out of all of them: one act on a phone."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    stay = readings.where_are([animal]).get(animal.pk)
    tanks = list(readings.tanks_with_animals())
    form = MoveForm(request.POST or None, tanks=tanks, today=clock.today())
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        try:
            services.move_animal(animal, facts["tank"], on=facts["on"], by=request.user)
        except ValidationError as problem:
            add_problems(form, problem)
        else:
            messages.success(request, f"{animal.name} is in {facts['tank'] or 'no tank'} now.")
            return redirect(animal)
    context = {
        "form": form,
        "animal": animal,
        "stay": stay,
        "tanks": [tank for tank in tanks if stay is None or tank != stay.tank],
    }
    return render(request, "housing/move.html", context)
