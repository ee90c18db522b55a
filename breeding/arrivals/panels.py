"""What the room of arrivals adds to pages: how an animal came, its loans, a contact's year."""

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.arrivals.models import LoanAgreement
from breeding.arrivals.queries import how_it_came, pairs_to_ask
from breeding.buyers.models import Contact


def arrival_panel(request: HttpRequest, animal: Animal) -> str:
    """How it came and with whom, what is assumed of its kin, and whose it is."""
    came = how_it_came(animal)
    asked = len(pairs_to_ask([animal, *came.company])) if came.company else 0
    context = {"animal": animal, "came": came, "asked": asked}
    return render_to_string("arrivals/_animal_panel.html", context, request)


def page_of_terms(animal: Animal) -> str:
    """Where it is asked to whom it is lent, once it is said that it is on loan."""
    if animal.state != Animal.State.ON_LOAN:
        return ""
    lent = LoanAgreement.objects.filter(animal=animal, back_on__isnull=True)
    if lent.filter(direction=LoanAgreement.Direction.OUT).exists():
        return ""
    return reverse("arrivals:lend", args=[animal.pk])


def contact_panel(request: HttpRequest, contact: Contact) -> str:
    """The way to what went between the two, year by year."""
    return render_to_string("arrivals/_contact_panel.html", {"contact": contact}, request)


def buyers_panel(request: HttpRequest, about: None) -> str:
    """The way to arrivals and loans from the page of people."""
    return render_to_string("arrivals/_buyers_panel.html", {}, request)
