"""Everything that was seen, as a list."""

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from breeding.pairings.tables import ALL_SIGHTINGS
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page


@require_safe
def sightings(request: PageRequest) -> HttpResponse:
    """Everything seen of any female, the latest first."""
    return list_page(request, "pairings/sightings.html", ALL_SIGHTINGS)
