"""The chronicle of one animal and of the whole program."""

from dataclasses import replace
from typing import Any

from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.records.chronicle.asked import AnimalChronicleForm, Asked, ChronicleForm
from breeding.records.chronicle.line import line_of
from breeding.records.chronicle.page import chronicle_of


@require_safe
def chronicle(request: PageRequest) -> HttpResponse:
    """Everything that happened and was written down, newest first."""
    form = ChronicleForm(request.GET)
    return _page(request, "records/chronicle.html", form, None)


@require_safe
def animal(request: PageRequest, pk: int) -> HttpResponse:
    """Every dated thing of one animal, newest first; of a withdrawn one what was withdrawn too."""
    found = get_object_or_404(Animal.every, pk=pk)
    return _page(request, "records/animal.html", AnimalChronicleForm(request.GET), found)


@require_safe
def history(request: PageRequest) -> HttpResponse:
    """Where the list of changes was; an address that was kept leads on."""
    asked = {name: request.GET[name] for name in ("q", "animal", "by") if name in request.GET}
    query = QueryDict(mutable=True)
    query.update(asked)
    address = reverse("records:chronicle")
    return redirect(f"{address}?{query.urlencode()}" if asked else address)


def _page(
    request: PageRequest, template: str, form: AnimalChronicleForm, of: Animal | None
) -> HttpResponse:
    animals = None if of is None else (of,)
    everything = Asked(
        clock.today(),
        may_write=request.user.may_write,
        sees_buyers=request.user.may_see_buyers,
        animals=animals,
    )
    context: dict[str, Any] = {"form": form, "animal": of, "asked": request.GET}
    if form.is_valid():
        asked = form.asked(everything)
        if of is not None and of.is_withdrawn:
            asked = replace(asked, withdrawn=True)
        told = chronicle_of(asked, program=request.program, years_of=everything)
        years, year = told.told_years, form.cleaned_data["year"]
        context |= {
            "told": told,
            "line": None if asked.before else line_of(asked, year=year, years=years),
            "years": years,
            "kind": asked.kind,
            "year": year,
        }
    return render(request, template, context)
