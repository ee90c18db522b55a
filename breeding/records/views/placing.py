"""Many animals put into tanks on one page."""

from django.http import HttpResponse
from django.shortcuts import redirect, render

from breeding.housing.models import Stay
from breeding.housing.queries import places, tanks_with_animals
from breeding.housing.stays import following
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import reason_in, sure_in
from breeding.records.placing import AT_ONCE, PlacingForm, in_no_tank, place_many
from breeding.words.language import tell_many


@keepers_only
def place(request: PageRequest) -> HttpResponse:
    """Everybody who is here and in no tank, each with a choice of tanks, sent once."""
    waiting = in_no_tank()
    number = waiting.count()
    there = places(tanks_with_animals())
    form = PlacingForm(
        request.POST or None, animals=list(waiting[:AT_ONCE]), places=there, today=clock.today()
    )
    if stays := written(request, form, lambda: _place(request, form)):
        placed = tell_many("{number} animal placed.", "{number} animals placed.", len(stays))
        say(request, placed, following.said_of(stays))
        return redirect("records:place" if number > len(stays) else "housing:index")
    page = {"form": form, "number": number, "tanks": there, "at_once": AT_ONCE}
    return render(request, "records/place.html", page)


def _place(request: PageRequest, form: PlacingForm) -> list[Stay]:
    return place_many(
        form.chosen(),
        on=form.cleaned_data["on"],
        by=request.user,
        sure=sure_in(request.POST),
        reason=reason_in(request.POST),
    )
