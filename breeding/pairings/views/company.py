"""Pages on who was with whom."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.animals.around import everybody_around
from breeding.pairings.season.company import COMPANY_DAYS, company_of, in_company
from breeding.pairings.season.disagreements import disagreements
from breeding.pairings.season.exposure import exposure_of
from breeding.pairings.season.facts import gather_together
from breeding.program import clock
from breeding.program.frame.requests import PageRequest

A_PAGE, MOST_DISAGREEMENTS = 30, 30


@require_safe
def company(request: PageRequest) -> HttpResponse:
    """Who was with whom in the last year, by what it is known, and where the records disagree."""
    today = clock.today()
    page = Paginator(in_company(asof=today), A_PAGE).get_page(request.GET.get("page"))
    around = {one.pk: one for one in everybody_around(today)}
    females = [around[key] for key in page.object_list if key in around]
    disagree = disagreements(request.program, asof=today)
    context = {
        "females": company_of(females, exposure_of(gather_together(females)), asof=today),
        "page": page,
        "disagreements": disagree[:MOST_DISAGREEMENTS],
        "more_disagreements": len(disagree) - MOST_DISAGREEMENTS,
        "days": COMPANY_DAYS,
    }
    return render(request, "pairings/company.html", context)
