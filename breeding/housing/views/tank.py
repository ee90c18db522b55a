"""Pages of tanks: all of them, one, a new one, changed."""

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from breeding.animals.models import Animal
from breeding.housing import queries
from breeding.housing.forms import TankForm
from breeding.housing.looks import looked_at, looks_of, record_look
from breeding.housing.models import Tank
from breeding.housing.room.picture import tank_drawing
from breeding.housing.room.reading import company_of, room_of, rooms_of
from breeding.housing.room.said import answer_of, said_of
from breeding.housing.services import save_tank
from breeding.housing.tables import ALL_TANKS
from breeding.housing.water.arisen import arisen_of
from breeding.housing.water.queries import (
    is_of_rays,
    water_defaults,
    water_fit,
    water_fits,
)
from breeding.housing.water.said import ammonia_words
from breeding.housing.work.card import work_of
from breeding.program import clock
from breeding.program.acts.history import history_of
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.offline.readable import readable_offline
from breeding.program.panels import panels_for
from breeding.program.problems.beside import pressed, written
from breeding.words.language import tell

PAST_SHOWN = 100
TESTS_SHOWN = 20
TANKS_ON_A_PAGE, MOST_WITHOUT = 40, 60
ROOM_DAYS = 365  # how far ahead the list of tanks looks for room


@readable_offline
@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Every tank: who is in it since when, its divider, its water; and who is in none."""
    page = Paginator(queries.tanks_with_animals(), TANKS_ON_A_PAGE).get_page(
        request.GET.get("page")
    )
    tanks, without = list(page), queries.in_no_tank()
    fits = water_fits(tanks, clock.today(), program=request.program)
    rooms = rooms_of(company_of(tanks), asof=clock.today(), days=ROOM_DAYS)
    unit = request.program.length_unit
    context = {
        "rows": [
            (
                tank,
                queries.by_side(tank.present_stays),  # type: ignore[attr-defined]
                fits[tank.pk],
                rooms[tank.pk],
                answer_of(rooms[tank.pk], unit=unit) if rooms[tank.pk].is_told else "",
            )
            for tank in tanks
        ],
        "given_up": Tank.every.filter(withdrawn_at__isnull=False).select_related("withdrawn_by"),
        "looked": looked_at(tanks, clock.today()),
        "page": page,
        "without": without[:MOST_WITHOUT],
        "number_without": without.count(),
        "any_animal": Animal.objects.exists(),
    }
    return render(request, "housing/index.html", context)


@require_safe
def tanks(request: PageRequest) -> HttpResponse:
    """Every tank in a list that can be sorted and narrowed."""
    return list_page(request, "housing/tanks.html", ALL_TANKS)


@readable_offline
@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """One tank: who is here, how its water is, and who was."""
    tank = get_object_or_404(Tank.every.select_related("system", "withdrawn_by"), pk=pk)
    found = list(tank.stays.select_related("animal", "tank"))
    present = [stay for stay in found if stay.is_present]
    past = [stay for stay in found if not stay.is_present]
    tests = list(tank.water_tests.select_related("recorded_by", "withdrawn_by")[:TESTS_SHOWN])
    fit = water_fit(tank, clock.today(), program=request.program)
    room = room_of(tank, [stay.animal for stay in present], asof=clock.today())
    may_have_arisen = fit.fit is not True and (tests or tank.system_id is not None)
    unit = request.program.length_unit
    is_divided = any(stay.side for stay in present)
    beside = water_defaults()["space"] if is_of_rays() else None
    looks, withdrawn_looks = looks_of(tank)
    context = {
        "tank": tank,
        "panels": panels_for("housing:detail", request, tank),
        "groups": queries.by_side(present),
        "is_divided": is_divided,
        "past": past[:PAST_SHOWN],
        "more": max(0, len(past) - PAST_SHOWN),
        "sharing": tank.system.tanks.exclude(pk=tank.pk) if tank.system else [],
        "fit": fit,
        "looks": looks,
        "withdrawn_looks": withdrawn_looks,
        "is_looked_at": any(look.on == clock.today() for look in looks),
        "tests": [(test, ammonia_words(test)) for test in tests if not test.is_withdrawn],
        "withdrawn_tests": [test for test in tests if test.is_withdrawn],
        **work_of(tank),
        "arisen": arisen_of([tank], clock.today()).get(tank.pk, ()) if may_have_arisen else (),
        "room": said_of(room, unit=unit, beside=beside, is_divided=is_divided),
        "drawing": tank_drawing(room, present),
        "notices": panels_for("housing:water", request, tank),
    }
    return render(request, "housing/detail.html", context)


@keepers_only
@require_POST
def look(request: PageRequest, pk: int) -> HttpResponse:
    """All in this tank were looked at today, and there was nothing to see: one tap."""
    tank = get_object_or_404(Tank, pk=pk)
    today = clock.today()
    looked = pressed(request, lambda: record_look(tank, on=today, today=today, by=request.user))
    if looked is not None:
        if looked[1]:
            say(request, tell("{tank}: all looked at today, nothing to see.", tank=tank))
        else:
            say(request, tell("{tank}: all looked at today already, nothing to see.", tank=tank))
    return redirect("housing:index" if request.POST.get("back") == "index" else tank)


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
    if saved := written(
        request,
        form,
        lambda: save_tank(
            form.instance, new_system=form.cleaned_data["new_system"], by=request.user
        ),
        changing=tank if tank.pk else None,
    ):
        say(request, tell("{tank} is saved.", tank=saved))
        return redirect(saved)
    context: dict[str, Any] = {"form": form, "tank": tank}
    if tank.pk:
        context["history"] = history_of(tank, request.program)
    return render(request, page, context)
