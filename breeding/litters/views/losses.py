"""The page of losses."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.litters.losses.picture import losses_picture, years_words
from breeding.litters.losses.report import loss_report
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.words.language import tell


@require_safe
def losses(request: PageRequest) -> HttpResponse:
    """Who was lost, by litter, tank, age and cause, and how many over the years."""
    asked = request.GET.get("year", "")
    year = int(asked) if asked.isdecimal() and len(asked) == 4 else None
    report = loss_report(clock.today(), year)
    context = {
        "report": report,
        "picture": losses_picture(report),
        "years_words": years_words(report),
        "tables": [
            (tell("By cause"), report.by_cause, False),
            (tell("By age"), report.by_age, False),
            (tell("By litter"), report.by_litter, True),
            (tell("By tank"), report.by_tank, False),
        ],
    }
    return render(request, "litters/losses.html", context)
