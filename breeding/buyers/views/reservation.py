"""Pages of reservations: an animal kept for somebody."""

import datetime

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from breeding.animals.models import Animal
from breeding.buyers import queries, services
from breeding.buyers.asked_with import write_with
from breeding.buyers.forms import (
    ReservationChangeForm,
    ReservationForm,
)
from breeding.buyers.models import Reservation
from breeding.buyers.waiting import who_fits
from breeding.program import clock
from breeding.program.acts.history import history_of
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import sure_in
from breeding.words.language import tell

KEPT_FOR = datetime.timedelta(days=14)  # proposed, and changed on the page; assumption


@keepers_only
def reserve(request: PageRequest, animal_pk: int) -> HttpResponse:
    """Keep an animal for one person until a day."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    initial = {
        "contact": request.GET.get("contact"),
        "until": clock.today() + KEPT_FOR,
        "deposit_currency": queries.usual_currency(),
    }
    form = ReservationForm(request.POST or None, initial=initial, animal=animal)

    @transaction.atomic
    def keep() -> Reservation:
        facts, further = form.parted()
        name = facts.pop("new_name")
        if facts["contact"] is None:
            facts["contact"] = services.add_contact(
                by=request.user, name=name, sure=sure_in(request.POST)
            )
        kept = services.reserve_animal(
            animal, on=clock.today(), by=request.user, sure=sure_in(request.POST), **facts
        )
        write_with(animal, kept.contact, further, by=request.user, now=clock.now())
        return kept

    if kept := written(request, form, keep, {"name": "new_name"}):
        say(
            request,
            tell("{animal} is reserved for {contact}.", animal=animal.name, contact=kept.contact),
        )
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
def reservation(request: PageRequest, pk: int) -> HttpResponse:
    """Keep an animal longer or shorter, or note its deposit."""
    kept = get_object_or_404(Reservation.objects.select_related("animal", "contact"), pk=pk)
    names = ("reserved_on", "until", "deposit", "deposit_currency", "deposit_paid_on", "note")
    initial = {name: getattr(kept, name) for name in names}
    form = ReservationChangeForm(
        request.POST or None, initial={**initial, "contact": kept.contact_id}
    )
    if done := written(
        request,
        form,
        lambda: services.change_reservation(kept, today=clock.today(), **form.cleaned_data),
        changing=kept,
    ):
        say(
            request,
            tell(
                "{animal} is reserved for {contact}.", animal=done.animal.name, contact=done.contact
            ),
        )
        return redirect(done.contact)
    kept.refresh_from_db()
    history = history_of(kept, request.program)
    context = {"form": form, "reservation": kept, "history": history}
    return render(request, "buyers/reservation.html", context)
