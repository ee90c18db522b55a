"""Closing and opening a divider."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from breeding.housing import queries, services
from breeding.housing.models import Tank
from breeding.housing.stays import following
from breeding.housing.stays.forms import DayForm, DivideForm
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import reason_in, sure_in
from breeding.words.language import tell


@keepers_only
def close_divider(request: PageRequest, pk: int) -> HttpResponse:
    """Close the divider of a tank: who is on which side."""
    tank = get_object_or_404(Tank, pk=pk)
    inside = services.stays_on(tank, clock.today())
    form = DivideForm(request.POST or None, stays=inside, today=clock.today())
    if written(
        request,
        form,
        lambda: services.close_divider(
            tank,
            left=form.on_side("left"),
            right=form.on_side("right"),
            on=form.cleaned_data["on"],
            by=request.user,
        ),
    ):
        say(request, tell("The divider of {tank} is closed.", tank=tank))
        return redirect(tank)
    is_divided = any(stay.side for stay in inside)
    context = {"form": form, "tank": tank, "inside": inside, "is_divided": is_divided}
    return render(request, "housing/close_divider.html", context)


@keepers_only
def open_divider(request: PageRequest, pk: int) -> HttpResponse:
    """Open the divider of a tank: both sides are together again."""
    tank = get_object_or_404(Tank, pk=pk)
    inside = services.stays_on(tank, clock.today())
    form = DayForm(request.POST or None, today=clock.today(), label=tell("Opened on"))
    if together := written(
        request,
        form,
        lambda: services.open_divider(
            tank,
            on=form.cleaned_data["on"],
            by=request.user,
            sure=sure_in(request.POST),
            reason=reason_in(request.POST),
        ),
    ):
        said = following.said_of(together)
        done = tell("The divider of {tank} is open: all are together.", tank=tank)
        say(request, done, said)
        return redirect(tank)
    sexes = {stay.animal.sex for stay in inside}
    context = {
        "form": form,
        "tank": tank,
        "groups": queries.by_side(inside),
        "both_sexes": {"F", "M"} <= sexes,
    }
    return render(request, "housing/open_divider.html", context)
