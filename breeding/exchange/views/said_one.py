"""Two animals on record that are one, as a keeper says."""

from django.http import HttpResponse
from django.shortcuts import redirect, render

from breeding.exchange.forms import SayOneForm
from breeding.exchange.models import SaidOne
from breeding.exchange.said_one import differences_of_two, say_one
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.words.language import strung, tell

LATEST = 50


@keepers_only
def said_one(request: PageRequest) -> HttpResponse:
    """Say that two are one, see what differs, and take it back."""
    form = SayOneForm(request.POST or None, initial=request.GET.dict())
    if one := written(
        request,
        form,
        lambda: say_one(**form.cleaned_data, by=request.user, now=clock.now()),
    ):
        differing = differences_of_two(one.kept, one.gone)
        words = tell("{kept} and {gone} are one.", kept=one.kept.name, gone=one.gone.name)
        if differing:
            words += " " + tell("They differ in: {facts}.", facts=strung(differing, "; "))
        say(request, words)
        return redirect("exchange:said_one")
    rows = SaidOne.every.select_related("kept", "gone")[:LATEST]
    rows_shown = [(one, differences_of_two(one.kept, one.gone)) for one in rows]
    return render(request, "exchange/said_one.html", {"form": form, "rows": rows_shown})
