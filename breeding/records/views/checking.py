"""Whether the records are whole and possible, for owners."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.program import clock
from breeding.program.frame.decorators import owners_only
from breeding.program.frame.requests import PageRequest
from breeding.records.checking.everything import check_everything, found_words

MOST_SHOWN = 50  # under one heading; the command tells all


@owners_only
@require_safe
def check(request: PageRequest) -> HttpResponse:
    """Looks at every record, and says how what is wrong is mended."""
    parts = check_everything(clock.today())
    shown = [
        (part.heading, part.findings[:MOST_SHOWN], len(part.findings[MOST_SHOWN:]))
        for part in parts
    ]
    context = {"parts": shown, "words": found_words(parts)}
    return render(request, "records/check.html", context)
