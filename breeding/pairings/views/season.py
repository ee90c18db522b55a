"""All open seasons on one sheet, and those of a year."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.pairings.season.drawings import draw_sheet, draw_year
from breeding.pairings.season.reading import seasons
from breeding.pairings.season.years import seasons_of_year, span_of, years_on_record
from breeding.program import clock
from breeding.program.frame.requests import PageRequest


@require_safe
def season(request: PageRequest) -> HttpResponse:
    """Every open season on one sheet, with a common time axis."""
    readings_now = [one for one in seasons(request.program, asof=clock.today()) if one.is_live]
    context = {"seasons": readings_now, "sheet": draw_sheet(readings_now)}
    return render(request, "pairings/season.html", context)


@require_safe
def year(request: PageRequest, number: int) -> HttpResponse:
    """Every season of a year on one sheet, for the wall as well."""
    today = clock.today()
    number = min(max(number, 1900), today.year)
    found = seasons_of_year(request.program, number, today=today)
    sheets = draw_year(found, span=span_of(number), today=today)
    context = {
        "number": number,
        "years": years_on_record(today=today),
        "sheets": sheets,
        "words": [one for sheet in sheets for one in sheet.words.split("\n")],
    }
    return render(request, "pairings/year.html", context)
