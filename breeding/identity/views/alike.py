"""Pictures that look like another animal: two records that are one, or a picture filed wrongly."""

from django.http import HttpResponse
from django.shortcuts import redirect, render

from breeding.identity.alike import (
    MOST_ON_PAGE,
    alike_on_record,
    beside_each_other,
    not_asked_yet,
)
from breeding.identity.forms import SayTwoForm
from breeding.identity.models import SaidTwo
from breeding.identity.services import say_two
from breeding.program.acts.once import say
from breeding.program.frame.requests import PageRequest
from breeding.program.panels import panels_for
from breeding.program.problems.beside import written
from breeding.words.language import tell

LATEST = 24


def alike(request: PageRequest) -> HttpResponse:
    """Each side by side with the animal that it looks like; a keeper says one, two or misfiled."""
    form = SayTwoForm(request.POST or None)
    if said := written(request, form, lambda: say_two(**form.cleaned_data, by=request.user)):
        say(request, tell("{one} and {other} are two animals.", one=said.one, other=said.other))
        return redirect("identity:alike")
    rows = [
        (one, beside_each_other(one), panels_for("identity:alike", request, one))
        for one in alike_on_record(MOST_ON_PAGE)
    ]
    context = {
        "form": form,
        "rows": rows,
        "not_asked": not_asked_yet().count(),
        "said": SaidTwo.every.select_related("one", "other")[:LATEST],
    }
    return render(request, "identity/alike.html", context)
