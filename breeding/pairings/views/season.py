"""All open seasons on one sheet, and those of a year."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe
from django.views.decorators.vary import vary_on_cookie

from breeding.pairings.season.drawings import ROWS_A_SHEET, draw_sheet, draw_year
from breeding.pairings.season.reading import seasons
from breeding.pairings.season.years import seasons_of_year, span_of, years_on_record
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.program.frame.widths import widths_shown

SEASONS_A_PAGE = 6
SEASONS_TO_PRINT = 16  # at once: below 200 kB in one width, with fifty sightings a year of each


@vary_on_cookie
@require_safe
def season(request: PageRequest) -> HttpResponse:
    """Every open season on one sheet, with a common time axis."""
    readings_now = [one for one in seasons(request.program, asof=clock.today()) if one.is_live]
    prints = "all" in request.GET
    at_once = SEASONS_TO_PRINT if prints else SEASONS_A_PAGE
    page = Paginator(readings_now, at_once).get_page(request.GET.get("page"))
    shown = list(page.object_list)
    context = {
        "seasons": shown,
        "sheet": draw_sheet(shown),
        "widths": widths_shown(request),
        "page": page,
        "to_print": 0 if prints else min(page.paginator.count, SEASONS_TO_PRINT),
    }
    return render(request, "pairings/season.html", context)


@vary_on_cookie
@require_safe
def year(request: PageRequest, number: int) -> HttpResponse:
    """Every season of a year on one sheet, for the wall as well."""
    today = clock.today()
    number = min(max(number, 1900), today.year)
    found = seasons_of_year(request.program, number, today=today)
    page = Paginator(found, ROWS_A_SHEET).get_page(request.GET.get("page"))
    sheet = draw_year(list(page.object_list), span=span_of(number), today=today)
    context = {
        "number": number,
        "years": years_on_record(today=today),
        "sheet": sheet,
        "widths": widths_shown(request),
        "page": page,
    }
    return render(request, "pairings/year.html", context)
