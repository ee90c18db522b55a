"""Pages of the waiting list: wishes and what fits them."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.buyers.forms import WishForm
from breeding.buyers.models import Contact, Wish
from breeding.buyers.tables import ALL_WISHES
from breeding.buyers.waiting import (
    WISH_PARTS,
    add_wish,
    change_wish,
    doubts_of_wish,
    kept_fits,
    standing_wishes,
)
from breeding.program import clock
from breeding.program.acts.history import history_of
from breeding.program.acts.once import say
from breeding.program.frame.decorators import for_who_sees_buyers, keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import ask, sure_in
from breeding.words.language import tell

WISHES_A_PAGE = 10


@for_who_sees_buyers
@require_safe
def waiting(request: PageRequest) -> HttpResponse:
    """Every wish, the oldest first, with the pups that fit it and those that may later."""
    keys = list(standing_wishes().values_list("pk", flat=True))
    page = Paginator(keys, WISHES_A_PAGE).get_page(request.GET.get("page"))
    rows = kept_fits(list(page.object_list), request.program, asof=clock.today())
    return render(request, "buyers/waiting.html", {"rows": rows, "page": page})


@for_who_sees_buyers
@require_safe
def wishes(request: PageRequest) -> HttpResponse:
    """Every wish, also those that are met and those off the list."""
    return list_page(request, "buyers/wishes.html", ALL_WISHES)


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

    def add() -> Wish:
        ask(doubts_of_wish(form.cleaned_data), sure_in(request.POST))
        return add_wish(contact, by=request.user, **form.cleaned_data)

    if written(request, form, add):
        say(request, tell("The wish of {contact} is on the waiting list.", contact=contact))
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
        initial={name: getattr(wish, name) for name in WISH_PARTS},
    )

    def change() -> Wish:
        ask(doubts_of_wish(form.cleaned_data), sure_in(request.POST))
        return change_wish(wish, **form.cleaned_data)

    if written(request, form, change, changing=wish):
        say(request, tell("The wish is saved."))
        return redirect(wish.contact)
    wish.refresh_from_db()
    history = history_of(wish, request.program)
    context = {"form": form, "wish": wish, "history": history}
    return render(request, "buyers/wish_edit.html", context)
