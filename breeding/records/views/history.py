"""Everything that was written down and changed, by whom and when."""

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.records.tables import whole_history


@keepers_only
@require_safe
def history(request: PageRequest) -> HttpResponse:
    """Every change of every room, the latest first."""
    return list_page(request, "records/history.html", whole_history())
