"""Every female with every male."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.pairings.queries import females_here, males_here
from breeding.pairings.season.exposure import maturity_of
from breeding.planning.forms import MOST_ANIMALS, ListsForm
from breeding.planning.kinship_table import kinship_table
from breeding.program import clock
from breeding.program.frame.requests import PageRequest


@require_safe
def table(request: PageRequest) -> HttpResponse:
    """Kinship of a list of females with a list of males."""
    form = ListsForm(request.GET)
    found, left_out = None, 0
    if form.is_valid():
        facts, today = form.cleaned_data, clock.today()
        females = list(facts["female"] or females_here().order_by("call_name", "code"))
        males = list(facts["male"] or males_here().order_by("call_name", "code"))
        if not facts["young_too"]:
            grown = maturity_of({one.pk: one for one in (*females, *males)})

            def is_offered(one: Animal) -> bool:
                return one in chosen or grown[one.pk].since <= today

            chosen = {*facts["female"], *facts["male"]}
            females, males = (list(filter(is_offered, some)) for some in (females, males))
        left_out = max(0, len(females) - MOST_ANIMALS) + max(0, len(males) - MOST_ANIMALS)
        females, males = females[:MOST_ANIMALS], males[:MOST_ANIMALS]
        if females and males:
            found = kinship_table(females, males, lineage.current())
    context = {"form": form, "table": found, "left_out": left_out}
    return render(request, "planning/table.html", context)
