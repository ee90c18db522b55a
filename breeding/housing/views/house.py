"""The fish house drawn, and its tanks put where they stand."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.around import everybody_around
from breeding.housing.house.arranging import arrange_tanks
from breeding.housing.house.forms import HouseForm
from breeding.housing.house.marks import LEVELS
from breeding.housing.house.reading import (
    CARDS_ON_A_PAGE,
    WELL,
    give_dams,
    house_of,
    plan_of_tanks,
)
from breeding.housing.models import Tank
from breeding.housing.stays.lately import where_everybody_is
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.panels import panels_for
from breeding.program.problems.beside import written
from breeding.words.language import tell
from breeding.words.sizes import MM_PER_UNIT

STANDS_ON_A_PAGE = 50


@require_safe
def house(request: PageRequest) -> HttpResponse:
    """All tanks seen from above, to scale: who is in each, its water, and what is due.

    due: of many tanks those that press alike, a page at a time, by `Cards.level`.
    """
    found = house_of(request, today=clock.today())
    if (level := request.GET.get("due", "")) in (*LEVELS, WELL):
        pages = Paginator(found.by_pressing(level), CARDS_ON_A_PAGE)
        page = pages.get_page(request.GET.get("page"))
        give_dams(page)
        return render(request, "housing/house.html", {"house": found, "level": level, "page": page})
    give_dams(found.drawn_with_faces)
    housed = where_everybody_is(clock.today()).keys()
    context = {
        "house": found,
        "now": [one.tank for one in found.by_pressing("now")],
        "in_all": sum(one.count for one in found.tanks),
        "without": len({one.pk for one in everybody_around()} - housed),
        "acts": panels_for("housing:house", request),
    }
    return render(request, "housing/house.html", context)


@keepers_only
def arrange(request: PageRequest) -> HttpResponse:
    """Where each tank stands: dragged on a desk, or typed; of many, a page of them at a time."""
    every = list(Tank.objects.all())
    page = Paginator(every, STANDS_ON_A_PAGE).get_page(request.GET.get("page"))
    tanks = list(page)
    form = HouseForm(request.POST or None, tanks=tanks, unit=request.program.length_unit)
    moved = written(request, form, lambda: arrange_tanks(form.stands(), tanks))
    if moved is not None:
        say(request, _moved_words(moved))
        return redirect("housing:house")
    plan = plan_of_tanks(every)
    context = {
        "form": form,
        "page": page,
        "plan": plan,
        "rows": form.rows(plan),
        "rooms": sorted({one.stands_in for one in every if one.stands_in}),
        "mm_per_unit": MM_PER_UNIT[request.program.length_unit],
    }
    return render(request, "housing/arrange.html", context)


def _moved_words(moved: list[Tank]) -> str:
    if not moved:
        return tell("Every tank stands where it stood.")
    names = ", ".join(str(one) for one in moved)
    return tell("Where they stand is saved: {tanks}.", tanks=names)
