"""The page that finds, and what a card leads to."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.finding.found import find as found_by
from breeding.finding.found import find_for
from breeding.finding.models import Built
from breeding.housing.models import Tank
from breeding.program.frame.requests import PageRequest

MOST_TYPED = 200
TO_DO = {"measure": ("animal", "animals:measure"), "water": ("tank", "housing:water_test")}


@require_safe
def find(request: PageRequest) -> HttpResponse:
    """Everything that fits; a code, a chip number or a card opens its page at once."""
    typed = " ".join(request.GET.get("q", "")[:MOST_TYPED].replace("\x00", " ").split())
    only = request.GET.get("in", "")
    to_do = request.GET.get("to", "") if request.user.may_write else ""
    if to_do in TO_DO:
        answer = find_for(typed, request.user, *TO_DO[to_do])
    else:
        answer, to_do = found_by(typed, request.user, only=only), ""
    is_live = bool(getattr(request, "htmx", False))
    if answer.opens and not (is_live or only or request.GET.get("all")):
        if answer.asked and not to_do:
            words = render_to_string("finding/_opened.html", {"typed": typed}, request)
            messages.info(request, mark_safe(words))  # noqa: S308 - escaped by its template
        return redirect(answer.opens)
    is_plain = Built.objects.filter(pk=1, engine=Built.Engine.PLAIN).exists()
    page = {"typed": typed, "answer": answer, "only": only, "is_plain": is_plain}
    page["to_do"] = to_do
    return render(request, "finding/_results.html" if is_live else "finding/find.html", page)


@require_safe
def go_animal(request: PageRequest, pk: int) -> HttpResponse:
    """Where the card of an animal leads."""
    return redirect(get_object_or_404(Animal.every, pk=pk))


@require_safe
def go_tank(request: PageRequest, pk: int) -> HttpResponse:
    """Where the card of a tank leads."""
    return redirect(get_object_or_404(Tank._base_manager, pk=pk))
