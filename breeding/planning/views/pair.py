"""Two animals looked at together, and where planning begins."""

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.pairings.queries import females_here, males_here
from breeding.planning.forms import PairForm
from breeding.planning.pair import pair_report
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.program.panels import panels_for
from breeding.program.problems.beside import add_problems

RANKED_SHOWN = 12


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """What this room can answer, and two animals to begin with."""
    context = {"form": PairForm(), "any": females_here().exists() and males_here().exists()}
    return render(request, "planning/index.html", context)


@require_safe
def pair(request: PageRequest) -> HttpResponse:
    """Two animals together: their young, the program, and what stands against it."""
    form = PairForm(request.GET or None)
    report = None
    if form.is_valid():
        try:
            report = pair_report(**form.cleaned_data, program=request.program, today=clock.today())
        except ValidationError as problem:
            add_problems(form, problem)
    context = {
        "form": form,
        "report": report,
        "panels": panels_for("planning:pair", request, report) if report else [],
    }
    return render(request, "planning/pair.html", context)
