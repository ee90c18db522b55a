"""Keeping a strain against keeping diversity."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.planning.ahead.kept_lines import kept_line, strains_here
from breeding.program import clock
from breeding.program.fields import read_whole
from breeding.program.frame.requests import PageRequest


@require_safe
def line(request: PageRequest) -> HttpResponse:
    """One strain, kept within itself and with one outcross; the first one where none is asked."""
    strains = strains_here()
    asked = read_whole(request.GET.get("strain", ""))
    names = dict(strains.kept)
    chosen = asked if asked in names else next(iter(names), None)
    context: dict[str, Any] = {
        "strains": strains,
        "chosen": chosen,
        "name": names.get(chosen or 0, ""),
    }
    if chosen is not None:
        context["found"] = kept_line(chosen, clock.today())
    return render(request, "planning/line.html", context)
