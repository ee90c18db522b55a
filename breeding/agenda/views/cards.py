"""The cards of everybody, which a phone keeps to be read beside a tank without a network."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.agenda.cards import cards_of_all
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.program.offline.readable import readable_offline


@readable_offline
@require_safe
def cards(request: PageRequest) -> HttpResponse:
    """Each animal that is here with what one asks for beside its tank."""
    found = cards_of_all(request.program, today=clock.today())
    return render(request, "agenda/cards.html", {"cards": found})
