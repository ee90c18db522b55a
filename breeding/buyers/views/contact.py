"""Pages of contacts: who buys, what is kept for them, what went to them."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.buyers import erasing, queries, services
from breeding.buyers.forms import ContactForm, EraseForm
from breeding.buyers.models import Contact
from breeding.buyers.tables import ALL_CONTACTS
from breeding.buyers.waiting import kept_fits, standing_wishes
from breeding.program import clock
from breeding.program.acts.history import history_of
from breeding.program.acts.once import say
from breeding.program.frame.decorators import for_who_sees_buyers, keepers_only, owners_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.panels import panels_for
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import sure_in
from breeding.words.language import tell


@for_who_sees_buyers
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


@for_who_sees_buyers
@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """One contact: what they wait for, what is kept for them, what went to them."""
    people = ("recorded_by", "withdrawn_by", "erased_by")
    contact = get_object_or_404(Contact.objects.select_related(*people), pk=pk)
    reservations = contact.reservations.select_related("animal", "withdrawn_by")
    context = {
        "contact": contact,
        "kept": [one for one in reservations if one.is_standing],
        "fulfilled": [one for one in reservations if one.fulfilled_on and not one.is_withdrawn],
        "withdrawn": [one for one in reservations if one.is_withdrawn],
        "wishes": kept_fits(
            list(standing_wishes().filter(contact=contact).values_list("pk", flat=True)),
            request.program,
            asof=clock.today(),
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
        request,
        form,
        lambda: services.add_contact(
            by=request.user, sure=sure_in(request.POST), **form.cleaned_data
        ),
    ):
        say(request, tell("{contact} is written down.", contact=contact))
        return redirect(contact)
    return render(request, "buyers/new.html", {"form": form})


@keepers_only
def edit(request: PageRequest, pk: int) -> HttpResponse:
    """Change a contact."""
    contact = get_object_or_404(Contact.objects.filter(erased_at__isnull=True), pk=pk)
    form = ContactForm(request.POST or None, instance=contact)
    if written(
        request,
        form,
        lambda: services.change_contact(contact, sure=sure_in(request.POST), **form.cleaned_data),
        changing=contact,
    ):
        say(request, tell("{contact} is saved.", contact=contact))
        return redirect(contact)
    contact.refresh_from_db()
    history = history_of(contact, request.program)
    context = {"form": form, "contact": contact, "history": history}
    return render(request, "buyers/edit.html", context)


@owners_only
def erase(request: PageRequest, pk: int) -> HttpResponse:
    """Erase who a buyer was, on request; what is erased and what stays is said before."""
    contact = get_object_or_404(Contact, pk=pk)
    if contact.is_erased:
        return redirect(contact)
    form = EraseForm(request.POST or None)
    if done := written(
        request,
        form,
        lambda: erasing.erase_person(
            contact, by=request.user, now=clock.now(), because=form.cleaned_data["because"]
        ),
    ):
        say(request, tell("The data of a contact are erased. This cannot be undone."))
        return redirect(done)
    context = {"form": form, "contact": contact, "erasure": erasing.erasure_of(contact)}
    return render(request, "buyers/erase.html", context)
