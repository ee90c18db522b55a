"""Looking ahead at the next years: asked, followed, stopped and read."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from breeding.planning.ahead import runs as acts
from breeding.planning.ahead.forms import LookAheadForm
from breeding.planning.ahead.own_figures import own_figures
from breeding.planning.ahead.pictures import assumption_lines, outlook_pictures, outlook_rows
from breeding.planning.models import LookAhead
from breeding.planning.state.members import members
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.words.language import tell
from pedigree.ahead.assumptions import POLICIES, RULES

SHOWN = 10


@keepers_only
def ahead(request: PageRequest) -> HttpResponse:
    """Ask for a look ahead; earlier ones stand beside it."""
    own = own_figures(members(), clock.today())
    form = LookAheadForm(request.POST or None, own=own)
    if asked := written(
        request,
        form,
        lambda: acts.begin(
            form.figures(),
            seed=form.cleaned_data["seed"],
            basis=form.basis(),
            by=request.user,
            now=clock.now(),
        ),
    ):
        acts.run_beside(asked)
        return redirect(asked)
    context = {
        "form": form,
        "running": acts.running(clock.now()),
        "earlier": LookAhead.objects.all()[:SHOWN],
        "policies": [tell(one.says) for one in POLICIES],
    }
    return render(request, "planning/ahead.html", context)


@require_safe
def outlook(request: PageRequest, pk: int) -> HttpResponse:
    """How far it is, then what came out."""
    asked = get_object_or_404(LookAhead, pk=pk)
    context: dict[str, Any] = {
        "asked": asked,
        "silent": acts.is_silent(asked, clock.now()),
        "assumptions": assumption_lines(asked),
        "rules": [tell(one) for one in RULES],
    }
    if asked.state == LookAhead.State.DONE:
        context |= {"pictures": outlook_pictures(asked), "rows": outlook_rows(asked)}
    page = "planning/_outlook.html" if request.headers.get("hx-request") else None
    return render(request, page or "planning/outlook.html", context)


@require_POST
@keepers_only
def stop(request: PageRequest, pk: int) -> HttpResponse:
    """Ask a running look ahead to stop."""
    asked = get_object_or_404(LookAhead, pk=pk)
    if acts.ask_to_stop(asked.pk):
        say(request, tell("It stops after this step."))
    else:
        messages.warning(request, tell("It is no longer running."))
    return redirect(asked)
