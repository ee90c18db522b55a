"""Pages of contacts: who buys, what is kept for them, what went to them."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.buyers import queries, services
from breeding.buyers.forms import ContactForm
from breeding.buyers.models import Contact
from breeding.buyers.tables import ALL_CONTACTS
from breeding.buyers.waiting import standing_wishes, what_fits
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.panels import panels_for
from breeding.program.problems.beside import written


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Contacts, and what is kept for whom."""
    return list_page(
        request,
        "buyers/index.html",
        ALL_CONTACTS,
        reservations=list(queries.open_reservations()),
        panels=panels_for("buyers:index", request),
    )


@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """One contact: what they wait for, what is kept for them, what went to them."""
    contact = get_object_or_404(Contact.objects.select_related("recorded_by"), pk=pk)
    reservations = contact.reservations.select_related("animal", "withdrawn_by")
    context = {
        "contact": contact,
        "kept": [one for one in reservations if one.is_standing],
        "withdrawn": [one for one in reservations if one.is_withdrawn],
        "wishes": what_fits(
            standing_wishes().filter(contact=contact), request.program, asof=clock.today()
        ),
        "wishes_withdrawn": list(
            contact.wishes.filter(withdrawn_at__isnull=False).select_related(
                "species", "strain", "withdrawn_by"
            )
        ),
        "hand_overs": list(contact.hand_overs.select_related("animal", "withdrawn_by")),
        "panels": panels_for("buyers:detail", request, contact),
    }
    return render(request, "buyers/detail.html", context)


@keepers_only
def new(request: PageRequest) -> HttpResponse:
    """Write down a contact."""
    form = ContactForm(request.POST or None)
    if contact := written(
        request, form, lambda: services.add_contact(by=request.user, **form.cleaned_data)
    ):
        say(request, f"{contact} is written down.")
        return redirect(contact)
    return render(request, "buyers/new.html", {"form": form})


@keepers_only
def edit(request: PageRequest, pk: int) -> HttpResponse:
    """Change a contact."""
    contact = get_object_or_404(Contact, pk=pk)
    form = ContactForm(request.POST or None, instance=contact)
    if written(request, form, lambda: services.change_contact(contact, **form.cleaned_data)):
        say(request, f"{contact} is saved.")
        return redirect(contact)
    return render(request, "buyers/edit.html", {"form": form, "contact": contact})
