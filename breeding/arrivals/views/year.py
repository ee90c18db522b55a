"""A contact's year, to be read and printed."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from breeding.arrivals.year import years_of
from breeding.buyers.models import Contact
from breeding.program.frame.decorators import for_who_sees_buyers
from breeding.program.frame.requests import PageRequest


@for_who_sees_buyers
@require_safe
def year(request: PageRequest, contact_pk: int) -> HttpResponse:
    """What went between this program and somebody, year by year."""
    contact = get_object_or_404(Contact, pk=contact_pk)
    context = {"contact": contact, "years": years_of(contact)}
    return render(request, "arrivals/year.html", context)
