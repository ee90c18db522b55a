"""Every female with every male."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.animals import lineage
from breeding.animals.models import Animal, Strain
from breeding.pairings.queries import females_here, males_here
from breeding.pairings.season.exposure import maturity_of
from breeding.planning.crosses import crosses_said, strains_said
from breeding.planning.forms import LISTS, MOST_ANIMALS, MOST_LISTED, ListsForm
from breeding.planning.kinship_table import kinship_table
from breeding.program import clock
from breeding.program.frame.requests import PageRequest

MOST_UNASKED = 40  # of either sex where nobody was chosen: a page a phone can take


@require_safe
def table(request: PageRequest) -> HttpResponse:
    """Kinship of a list of females with a list of males."""
    everybody = [
        list(some.order_by("call_name", "code")) for some in (females_here(), males_here())
    ]
    is_listed = sum(map(len, everybody)) <= MOST_LISTED or bool(LISTS & request.GET.keys())
    form = ListsForm(request.GET, is_listed=is_listed)
    found, left_out = None, 0
    if form.is_valid():
        facts, today = {"female": (), "male": ()} | form.cleaned_data, clock.today()
        females = list(facts["female"] or everybody[0])
        males = list(facts["male"] or everybody[1])
        if not facts["young_too"]:
            grown = maturity_of({one.pk: one for one in (*females, *males)})

            def is_offered(one: Animal) -> bool:
                return one in chosen or grown[one.pk].since <= today

            chosen = {*facts["female"], *facts["male"]}
            females, males = (list(filter(is_offered, some)) for some in (females, males))
        is_asked = facts["female"] or facts["male"]
        most = MOST_ANIMALS if is_asked else MOST_UNASKED
        left_out = max(0, len(females) - most) + max(0, len(males) - most)
        females, males = females[:most], males[:most]
        if females and males:
            found = kinship_table(females, males, lineage.current())
    context: dict[str, Any] = {"form": form, "table": found, "left_out": left_out}
    context["all"] = f"{request.GET.urlencode()}&all=1".lstrip("&")
    if found and found.has_across:
        pairs = [(her, him) for her in females for him in males]
        context["crosses"] = crosses_said(pairs, lineage.current().shares)
    if found and found.has_across_strains:
        context["strains"] = strains_said(
            [*females, *males], dict(Strain.objects.values_list("pk", "name"))
        )
    return render(request, "planning/table.html", context)
