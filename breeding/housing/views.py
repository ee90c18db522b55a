"""Pages of the housing room: tanks, who is in them, and moving them."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.housing import readings, services
from breeding.housing.forms import TankForm
from breeding.housing.models import Stay, Tank
from breeding.housing.space import room_words
from breeding.housing.stay_forms import DayForm, DivideForm, MoveForm
from breeding.housing.stay_views import correct, earlier, stays, withdraw_stay
from breeding.housing.water_readings import ammonia_words, water_defaults, water_fit, water_fits
from breeding.housing.water_views import limits, water, water_test, water_withdraw
from breeding.program import clock
from breeding.program.decorators import keepers_only
from breeding.program.problems import add_problems
from breeding.program.requests import PageRequest
from breeding.words.days import long_day

__all__ = [  # every page of the room, also those with a file of their own
    "close_divider",
    "correct",
    "detail",
    "earlier",
    "edit",
    "index",
    "limits",
    "move",
    "move_all",
    "new",
    "open_divider",
    "stays",
    "water",
    "water_test",
    "water_withdraw",
    "withdraw_stay",
]
PAST_SHOWN = 100
TESTS_SHOWN = 20
YOUNG = (Tank.Kind.GROWING, Tank.Kind.NURSERY)  # where most are no adults


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Every tank: who is in it since when, its divider, its water; and who is in none."""
    tanks = list(readings.tanks_with_animals())
    fits = water_fits(tanks, clock.today(), program=request.program)
    context = {
        "rows": [
            (tank, readings.by_side(tank.present_stays), fits[tank.pk])  # type: ignore[attr-defined]
            for tank in tanks
        ],
        "without": list(readings.in_no_tank()),
        "any_animal": Animal.objects.exists(),
    }
    return render(request, "housing/index.html", context)


@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """One tank: who is here, how its water is, and who was."""
    tank = get_object_or_404(Tank.objects.select_related("system"), pk=pk)
    found = list(tank.stays.select_related("animal", "tank"))
    present = [stay for stay in found if stay.is_present]
    past = [stay for stay in found if not stay.is_present]
    tests = list(tank.water_tests.select_related("recorded_by")[:TESTS_SHOWN])
    adults = 0 if tank.kind in YOUNG else len(present)
    context = {
        "tank": tank,
        "groups": readings.by_side(present),
        "is_divided": any(stay.side for stay in present),
        "past": past[:PAST_SHOWN],
        "more": max(0, len(past) - PAST_SHOWN),
        "sharing": tank.system.tanks.exclude(pk=tank.pk) if tank.system else [],
        "fit": water_fit(tank, clock.today(), program=request.program),
        "tests": [(test, ammonia_words(test)) for test in tests],
        "room": room_words(
            tank.length_mm,
            tank.width_mm,
            adults,
            water_defaults()["space"],
            request.program.length_unit,
        ),
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
    places = readings.places(readings.tanks_with_animals())
    form = MoveForm(request.POST or None, places=places, today=clock.today())
    asked = ""
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        tank, side = facts["tank"]
        asked = "" if facts["old_news"] else readings.old_news_words(animal, facts["on"])
        try:
            if asked:
                raise ValidationError({"on": asked})
            moved = services.move_animal(animal, tank, side=side, on=facts["on"], by=request.user)
        except ValidationError as problem:
            add_problems(form, problem, {"side": "tank"})
        else:
            messages.success(request, _moved_words(animal, moved))
            return redirect("housing:stays", animal.pk) if facts["old_news"] else redirect(animal)
    context = {
        "form": form,
        "animal": animal,
        "stay": stay,
        "places": [
            place
            for place in places
            if stay is None or (place.tank, place.side) != (stay.tank, stay.side)
        ],
        "asks_old_news": asked or form["old_news"].value(),
    }
    return render(request, "housing/move.html", context)


def _moved_words(animal: Animal, stay: Stay | None) -> str:
    if stay is None:
        return f"{animal.name} is in no tank now."
    if stay.until is None:
        return f"{animal.name} is in {stay.place} now."
    return (
        f"Written: {animal.name} was in {stay.place} from {long_day(stay.since)} to "
        f"{long_day(stay.until)}."
    )


@keepers_only
def move_all(request: PageRequest, pk: int) -> HttpResponse:
    """Move everybody of a tank to another one."""
    tank = get_object_or_404(Tank, pk=pk)
    places = [
        place for place in readings.places(readings.tanks_with_animals()) if place.tank != tank
    ]
    form = MoveForm(request.POST or None, places=places, today=clock.today())
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        to, side = facts["tank"]
        try:
            services.move_everybody(tank, to, side=side, on=facts["on"], by=request.user)
        except ValidationError as problem:
            add_problems(form, problem, {"side": "tank"})
        else:
            messages.success(request, f"Everybody of {tank} is in {to or 'no tank'} now.")
            return redirect(to or tank)
    context = {
        "form": form,
        "tank": tank,
        "moving": services.stays_on(tank, clock.today()),
        "places": places,
    }
    return render(request, "housing/move_all.html", context)


@keepers_only
def close_divider(request: PageRequest, pk: int) -> HttpResponse:
    """Close the divider of a tank: who is on which side."""
    tank = get_object_or_404(Tank, pk=pk)
    inside = services.stays_on(tank, clock.today())
    form = DivideForm(request.POST or None, stays=inside, today=clock.today())
    if request.method == "POST" and form.is_valid():
        try:
            services.close_divider(
                tank,
                left=form.on_side("left"),
                right=form.on_side("right"),
                on=form.cleaned_data["on"],
                by=request.user,
            )
        except ValidationError as problem:
            add_problems(form, problem)
        else:
            messages.success(request, f"The divider of {tank} is closed.")
            return redirect(tank)
    is_divided = any(stay.side for stay in inside)
    context = {"form": form, "tank": tank, "inside": inside, "is_divided": is_divided}
    return render(request, "housing/close_divider.html", context)


@keepers_only
def open_divider(request: PageRequest, pk: int) -> HttpResponse:
    """Open the divider of a tank: both sides are together again."""
    tank = get_object_or_404(Tank, pk=pk)
    inside = services.stays_on(tank, clock.today())
    form = DayForm(request.POST or None, today=clock.today(), label="Opened on")
    if request.method == "POST" and form.is_valid():
        try:
            services.open_divider(tank, on=form.cleaned_data["on"], by=request.user)
        except ValidationError as problem:
            add_problems(form, problem)
        else:
            messages.success(request, f"The divider of {tank} is open: all are together.")
            return redirect(tank)
    sexes = {stay.animal.sex for stay in inside}
    context = {
        "form": form,
        "tank": tank,
        "groups": readings.by_side(inside),
        "both_sexes": {"F", "M"} <= sexes,
    }
    return render(request, "housing/open_divider.html", context)
