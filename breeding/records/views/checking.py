"""Whether the records are whole and possible, for owners."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.program import clock
from breeding.program.frame.decorators import owners_only
from breeding.program.frame.requests import PageRequest
from breeding.records.checking.kept import checked


@owners_only
@require_safe
def check(request: PageRequest) -> HttpResponse:
    """What was found when every record was looked at today, and how what is wrong is mended."""
    found = checked(clock.now(), again="again" in request.GET)
    return render(request, "records/check.html", {"checked": found})
