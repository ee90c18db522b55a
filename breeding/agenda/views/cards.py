"""The cards of everybody, which a phone keeps to be read beside a tank without a network."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from breeding.agenda.cards import A_PAGE, cards_of, everybody_placed, shelves_of
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.program.offline.readable import goes_on_at, readable_offline


@readable_offline
@require_safe
def cards(request: PageRequest) -> HttpResponse:
    """Each animal that is here with what one asks for beside its tank."""
    today = clock.today()
    placed = everybody_placed(today=today)
    page = Paginator(placed, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "cards": cards_of(list(page), request.program, today=today),
        "page": page,
        "shelves": shelves_of(placed) if page.has_other_pages() else (),
    }
    response = render(request, "agenda/cards.html", context)
    if page.has_next():
        address = reverse("agenda:cards")
        goes_on_at(response, f"{address}?page={page.next_page_number()}")
    return response
