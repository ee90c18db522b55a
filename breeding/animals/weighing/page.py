"""The page on which several animals are weighed, for whichever room's animals they are."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render

from breeding.animals.growth.condition import light_words
from breeding.animals.models import Animal, Measurement
from breeding.animals.weighing.grid import WeighingForm
from breeding.animals.weighing.keeping import weigh_together
from breeding.animals.weighing.last import last_of
from breeding.animals.weighing.marks import marks_for
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import sure_in
from breeding.words.language import tell_many


def weighing_page(
    request: PageRequest,
    template: str,
    animals: Sequence[Animal],
    *,
    about: Mapping[str, Any],
    back: str,
) -> HttpResponse:
    """The table, and what was sent of it; once it is kept, `back` to where they are."""
    last, today = last_of(animals), clock.today()
    form = WeighingForm(
        request.POST or None, animals=animals, last=last, program=request.program, today=today
    )
    if kept := written(request, form, lambda: _weigh(request, form)):
        say(request, _receipt(kept, request))
        return redirect(back)
    marks = marks_for(animals, last, request.program, on=today)
    return render(request, template, {"form": form, "marks": marks, **about})


def _weigh(request: PageRequest, form: WeighingForm) -> list[Measurement]:
    return weigh_together(
        form.weighed, on=form.cleaned_data["on"], by=request.user, sure=sure_in(request.POST)
    )


def _receipt(kept: Sequence[Measurement], request: PageRequest) -> str:
    """How many, and who is light for its width."""
    light = [words for one in kept if (words := light_words(one, request.program))]
    told = tell_many("{number} animal measured.", "{number} animals measured.", len(kept))
    return " ".join([told, *light])
