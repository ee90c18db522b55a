"""Pages on who was with whom."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.pairings.season.company import COMPANY_DAYS, company_of
from breeding.pairings.season.disagreements import disagreements_of
from breeding.pairings.season.exposure import exposure_of
from breeding.pairings.season.facts import females_here, gather_together, places_on
from breeding.program import clock
from breeding.program.frame.requests import PageRequest

A_PAGE, MOST_DISAGREEMENTS = 30, 30


@require_safe
def company(request: PageRequest) -> HttpResponse:
    """Who was with whom in the last year, by what it is known, and where the records disagree."""
    today = clock.today()
    females = females_here(today)
    exposure = exposure_of(gather_together(females))
    found = company_of(females, exposure, asof=today)
    page = Paginator(found, A_PAGE).get_page(request.GET.get("page"))
    disagreements = disagreements_of(
        females, exposure, places_on(today), asof=today, program=request.program
    )
    context = {
        "females": page.object_list,
        "page": page,
        "disagreements": disagreements[:MOST_DISAGREEMENTS],
        "more_disagreements": len(disagreements) - MOST_DISAGREEMENTS,
        "days": COMPANY_DAYS,
    }
    return render(request, "pairings/company.html", context)
