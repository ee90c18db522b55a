"""The page of a veterinarian's visit."""

from django.http import HttpResponse
from django.shortcuts import redirect, render

from breeding.health.illness.forms import VisitForm
from breeding.health.illness.visiting import record_visit
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.words.language import tell


@keepers_only
def visit(request: PageRequest) -> HttpResponse:
    """Write down that a veterinarian looked at an animal or a tank, and what was found."""
    today = clock.today()
    initial = {name: request.GET.get(name) for name in ("animal", "tank")}
    form = VisitForm(request.POST or None, today=today, initial=initial)
    seen = written(
        request,
        form,
        lambda: record_visit(today=today, recorded_by=request.user, **form.facts()),
    )
    if seen is not None:
        say(request, tell("Written: {what}.", what=seen))
        return redirect(seen)
    return render(request, "health/visit.html", {"form": form})
