"""Pages of the waiting list and of hand-overs, for those signed in."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.buyers import hand_overs, readings, services
from breeding.buyers import waiting as wishes
from breeding.buyers.forms import ReservationChangeForm
from breeding.buyers.listings import law_words
from breeding.buyers.models import Contact, HandOver, Reservation, Wish
from breeding.buyers.sale_forms import ComeBackForm, HandOverForm, WishForm
from breeding.program import clock
from breeding.program.cautions import cautions
from breeding.program.decorators import keepers_only
from breeding.program.forms import WithdrawForm
from breeding.program.problems import written
from breeding.program.requests import PageRequest
from breeding.program.services import withdraw as withdraw_record


@require_safe
def waiting(request: PageRequest) -> HttpResponse:
    """Every wish, the oldest first, with the pups that fit it and those that may later."""
    rows = wishes.what_fits(wishes.standing_wishes(), request.program, asof=clock.today())
    return render(request, "buyers/waiting.html", {"rows": rows})


@keepers_only
def wish_new(request: PageRequest, contact_pk: int) -> HttpResponse:
    """Write down what a contact waits for."""
    contact = get_object_or_404(Contact, pk=contact_pk)
    form = WishForm(
        request.POST or None,
        program=request.program,
        today=clock.today(),
        initial={"wished_on": clock.today()},
    )
    if written(
        request, form, lambda: wishes.add_wish(contact, by=request.user, **form.cleaned_data)
    ):
        messages.success(request, f"The wish of {contact} is on the waiting list.")
        return redirect(contact)
    return render(request, "buyers/wish_new.html", {"form": form, "contact": contact})


@keepers_only
def wish_edit(request: PageRequest, pk: int) -> HttpResponse:
    """Change a wish."""
    wish = get_object_or_404(Wish.objects.select_related("contact"), pk=pk)
    form = WishForm(
        request.POST or None,
        program=request.program,
        today=clock.today(),
        initial={name: getattr(wish, name) for name in wishes.WISH_PARTS},
    )
    if written(request, form, lambda: wishes.change_wish(wish, **form.cleaned_data)):
        messages.success(request, "The wish is saved.")
        return redirect(wish.contact)
    return render(request, "buyers/wish_edit.html", {"form": form, "wish": wish})


@keepers_only
def wish_withdraw(request: PageRequest, pk: int) -> HttpResponse:
    """Take a wish off the list, with the reason."""
    wish = get_object_or_404(Wish.objects.select_related("contact"), pk=pk)
    form = WithdrawForm(request.POST or None)
    if written(
        request,
        form,
        lambda: withdraw_record(
            wish, by=request.user, now=clock.now(), reason=form.cleaned_data["reason"]
        ),
    ):
        messages.success(request, "The wish is off the list.")
        return redirect(wish.contact)
    return render(request, "buyers/wish_withdraw.html", {"form": form, "wish": wish})


@keepers_only
def reservation(request: PageRequest, pk: int) -> HttpResponse:
    """Keep an animal longer or shorter, or note its deposit."""
    kept = get_object_or_404(Reservation.objects.select_related("animal", "contact"), pk=pk)
    names = ("until", "deposit", "deposit_currency", "deposit_paid_on", "note")
    form = ReservationChangeForm(
        request.POST or None, initial={name: getattr(kept, name) for name in names}
    )
    if written(
        request,
        form,
        lambda: services.change_reservation(kept, today=clock.today(), **form.cleaned_data),
    ):
        messages.success(request, f"{kept.animal.name} is kept for {kept.contact}.")
        return redirect(kept.contact)
    return render(request, "buyers/reservation.html", {"form": form, "reservation": kept})


@keepers_only
def hand_over(request: PageRequest, animal_pk: int) -> HttpResponse:
    """The animal goes to somebody, after the cautions have been read."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    kept = services.reservation_of(animal)
    initial = {
        "contact": kept.contact_id if kept else request.GET.get("contact"),
        "on": clock.today(),
        "currency": readings.usual_currency(),
    }
    form = HandOverForm(request.POST or None, initial=initial)
    if gone := written(
        request,
        form,
        lambda: hand_overs.hand_over(
            animal,
            by=request.user,
            program=request.program,
            today=clock.today(),
            **form.cleaned_data,
        ),
    ):
        messages.success(request, f"{animal.name} went to {gone.contact}.")
        return redirect(gone.contact)
    animal.refresh_from_db()
    # A day or hours that were refused are not reckoned with.
    facts = form.cleaned_data if form.is_bound else {}
    hours, on = facts.get("hours_expected"), facts.get("on") or clock.today()
    context = {
        "form": form,
        "animal": animal,
        "kept": kept,
        "cautions": hand_overs.cautions_before(animal, request.program, on=on, hours=hours),
        "law_heading": cautions()["law"].heading,
        "law_words": law_words(),
        "oxygen": cautions()["oxygen"],
    }
    return render(request, "buyers/hand_over.html", context)


@keepers_only
def come_back(request: PageRequest, pk: int) -> HttpResponse:
    """The animal came back: it is here again, and why stays readable."""
    gone = get_object_or_404(HandOver.objects.select_related("animal", "contact"), pk=pk)
    form = ComeBackForm(request.POST or None, initial={"on": clock.today()})
    if written(
        request,
        form,
        lambda: hand_overs.take_back(
            gone, today=clock.today(), by=request.user, **form.cleaned_data
        ),
    ):
        messages.success(request, f"{gone.animal.name} is here again, in no tank yet.")
        return redirect(gone.animal)
    return render(request, "buyers/come_back.html", {"form": form, "gone": gone})


@keepers_only
def hand_over_withdraw(request: PageRequest, pk: int) -> HttpResponse:
    """A hand-over written down by mistake; the animal never left."""
    gone = get_object_or_404(HandOver.objects.select_related("animal", "contact"), pk=pk)
    form = WithdrawForm(request.POST or None)
    if written(
        request,
        form,
        lambda: hand_overs.withdraw_hand_over(
            gone, by=request.user, now=clock.now(), reason=form.cleaned_data["reason"]
        ),
    ):
        messages.success(request, f"{gone.animal.name} never left, and is where it was.")
        return redirect(gone.animal)
    return render(request, "buyers/hand_over_withdraw.html", {"form": form, "gone": gone})
