"""Who may be meant by what was typed so far."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.animals.typed.choosing import beginning_with
from breeding.program.frame.requests import PageRequest


@require_safe
def named(request: PageRequest) -> HttpResponse:
    """A dozen animals whose name or code begins as typed, as options of a line for a name."""
    found = beginning_with(Animal.objects.all(), request.GET.get("q", "")[:60])
    return render(request, "animals/named.html", {"animals": found})
