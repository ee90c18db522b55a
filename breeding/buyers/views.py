"""Pages of the buyers' room: contacts, what is kept for them, and parentage sheets."""

import datetime

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.buyers import readings, services
from breeding.buyers.forms import ContactForm, ReservationForm
from breeding.buyers.models import Contact, Reservation
from breeding.buyers.origin_views import (
    origin,
    origin_document,
    origin_file,
    origin_paper_new,
    origin_paper_withdraw,
)
from breeding.buyers.sale_views import (
    come_back,
    hand_over,
    hand_over_withdraw,
    reservation,
    waiting,
    wish_edit,
    wish_new,
    wish_withdraw,
)
from breeding.buyers.sales_views import offer, offer_picture, sales
from breeding.buyers.shared_views import shared, shared_file, shared_picture
from breeding.buyers.sheet_views import (
    sharing,
    sheet,
    sheet_file,
    sheet_link,
    sheet_new,
    sheet_picture,
    sheet_withdraw,
)
from breeding.buyers.waiting import standing_wishes, what_fits, who_fits
from breeding.program import clock
from breeding.program.decorators import keepers_only
from breeding.program.forms import WithdrawForm
from breeding.program.problems import written
from breeding.program.requests import PageRequest
from breeding.program.services import withdraw as withdraw_record

KEPT_FOR = datetime.timedelta(days=14)  # proposed, and changed on the page; assumption

__all__ = [
    "come_back",
    "detail",
    "edit",
    "hand_over",
    "hand_over_withdraw",
    "index",
    "new",
    "offer",
    "offer_picture",
    "origin",
    "origin_document",
    "origin_file",
    "origin_paper_new",
    "origin_paper_withdraw",
    "reservation",
    "reserve",
    "sales",
    "shared",
    "shared_file",
    "shared_picture",
    "sharing",
    "sheet",
    "sheet_file",
    "sheet_link",
    "sheet_new",
    "sheet_picture",
    "sheet_withdraw",
    "waiting",
    "wish_edit",
    "wish_new",
    "wish_withdraw",
    "withdraw",
]


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Contacts, what is kept for whom, and the sheets handed out."""
    sheets = readings.issued_sheets()
    context = {
        "contacts": list(readings.contacts_with_counts()),
        "reservations": list(readings.open_reservations()),
        "sheets": list(sheets[: readings.SHEETS_SHOWN]),
        "sheet_count": sheets.count(),
    }
    return render(request, "buyers/index.html", context)


@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """One contact: what they wait for, what is kept for them, what went to them."""
    contact = get_object_or_404(Contact.objects.select_related("recorded_by"), pk=pk)
    reservations = contact.reservations.select_related("animal", "withdrawn_by")
    context = {
        "contact": contact,
        "kept": [one for one in reservations if one.is_standing],
        "withdrawn": [one for one in reservations if one.is_withdrawn],
        "sheets": list(readings.issued_sheets().filter(contact=contact)),
        "wishes": what_fits(
            standing_wishes().filter(contact=contact), request.program, asof=clock.today()
        ),
        "wishes_withdrawn": list(
            contact.wishes.filter(withdrawn_at__isnull=False).select_related(
                "species", "strain", "withdrawn_by"
            )
        ),
        "hand_overs": list(contact.hand_overs.select_related("animal", "withdrawn_by")),
    }
    return render(request, "buyers/detail.html", context)


@keepers_only
def new(request: PageRequest) -> HttpResponse:
    """Write down a contact."""
    form = ContactForm(request.POST or None)
    if contact := written(
        request, form, lambda: services.add_contact(by=request.user, **form.cleaned_data)
    ):
        messages.success(request, f"{contact} is written down.")
        return redirect(contact)
    return render(request, "buyers/new.html", {"form": form})


@keepers_only
def edit(request: PageRequest, pk: int) -> HttpResponse:
    """Change a contact."""
    contact = get_object_or_404(Contact, pk=pk)
    form = ContactForm(request.POST or None, instance=contact)
    if written(request, form, lambda: services.change_contact(contact, **form.cleaned_data)):
        messages.success(request, f"{contact} is saved.")
        return redirect(contact)
    return render(request, "buyers/edit.html", {"form": form, "contact": contact})


@keepers_only
def reserve(request: PageRequest, animal_pk: int) -> HttpResponse:
    """Keep an animal for one person until a day."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    initial = {
        "contact": request.GET.get("contact"),
        "until": clock.today() + KEPT_FOR,
        "deposit_currency": readings.usual_currency(),
    }
    form = ReservationForm(request.POST or None, initial=initial)

    @transaction.atomic
    def keep() -> Reservation:
        facts = dict(form.cleaned_data)
        name = facts.pop("new_name")
        if facts["contact"] is None:
            facts["contact"] = services.add_contact(by=request.user, name=name)
        return services.reserve_animal(animal, on=clock.today(), by=request.user, **facts)

    if kept := written(request, form, keep):
        messages.success(request, f"{animal.name} is kept for {kept.contact}.")
        return redirect(animal)
    fits = who_fits(animal, request.program, asof=clock.today())
    context = {
        "form": form,
        "animal": animal,
        "kept": services.reservation_of(animal),
        "fits": [one for one in fits if not one.against],
        "unfit": [one for one in fits if one.against],
    }
    return render(request, "buyers/reserve.html", context)


@keepers_only
def withdraw(request: PageRequest, pk: int) -> HttpResponse:
    """Withdraw a reservation with the reason; the animal is free again."""
    found = get_object_or_404(Reservation.objects.select_related("animal", "contact"), pk=pk)
    form = WithdrawForm(request.POST or None)
    if written(
        request,
        form,
        lambda: withdraw_record(
            found, by=request.user, now=clock.now(), reason=form.cleaned_data["reason"]
        ),
    ):
        messages.success(request, f"{found.animal.name} is free again.")
        return redirect(found.contact)
    return render(request, "buyers/withdraw.html", {"form": form, "reservation": found})
