"""Who may see and write."""

from django.forms.models import model_to_dict
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from breeding.program import clock, services
from breeding.program.access import sessions, two_step
from breeding.program.access.passwords import LINK_GOOD_FOR
from breeding.program.acts.history import history_of
from breeding.program.acts.once import say
from breeding.program.forms import PersonChangeForm, PersonForm
from breeding.program.frame.decorators import owners_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.models import Person
from breeding.program.problems.beside import pressed, written
from breeding.program.tables import ALL_PEOPLE
from breeding.words.language import tell, tell_many

PLACES = {"first_name": "called"}


@owners_only
def people(request: PageRequest) -> HttpResponse:
    """Who may sign in; a form for one more."""
    form = PersonForm(request.POST or None)
    if person := written(request, form, lambda: services.add_person(**form.cleaned_data), PLACES):
        say(request, tell("{person} can sign in now.", person=person))
        return redirect("program:people")
    return list_page(request, "program/people.html", ALL_PEOPLE, form=form)


@owners_only
def person(request: PageRequest, pk: int) -> HttpResponse:
    """One person's role."""
    someone = get_object_or_404(Person, pk=pk)
    known = {"called": str(someone)} | model_to_dict(someone, ["role", "is_active", "sees_buyers"])
    form = PersonChangeForm(request.POST or None, initial=known)
    if written(
        request,
        form,
        lambda: services.change_person(someone, **form.cleaned_data),
        PLACES,
        changing=someone,
    ):
        say(request, tell("{person} is saved.", person=someone))
        return redirect("program:people")
    context = {
        "form": form,
        "someone": someone,
        "signed_in": sessions.where_signed_in(someone, now=clock.now()),
        "history": history_of(someone, request.program),
    }
    return render(request, "program/person.html", context)


@owners_only
@never_cache
def person_link(request: PageRequest, pk: int) -> HttpResponse:
    """A link that asks somebody for a new password, shown once."""
    someone = get_object_or_404(Person, pk=pk, is_active=True)
    if request.method != "POST":
        return redirect("program:person", pk)
    token = pressed(
        request,
        lambda: services.make_sign_in_link(
            someone, now=clock.arrived_at(), good_for=LINK_GOOD_FOR, asks_password=True
        ),
    )
    if token is None:
        return redirect("program:person", pk)
    say(request, tell("A link that asks {person} for a new password is made.", person=someone))
    address = request.build_absolute_uri(reverse("program:link", args=[token]))
    context = {"someone": someone, "address": address, "days": LINK_GOOD_FOR.days}
    return render(request, "program/person_link.html", context)


@owners_only
@require_POST
def person_sign_out(request: PageRequest, pk: int) -> HttpResponse:
    """End every session of somebody."""
    someone = get_object_or_404(Person, pk=pk)
    key = request.session.session_key if someone == request.user else None
    if ended := pressed(request, lambda: (sessions.end_all(someone, but=key),)):
        say(
            request,
            tell_many(
                "{person} is signed out: {number} session ended.",
                "{person} is signed out: {number} sessions ended.",
                ended[0],
                person=someone,
            ),
        )
    return redirect("program:person", pk)


@owners_only
@require_POST
def person_two_step_off(request: PageRequest, pk: int) -> HttpResponse:
    """For somebody who lost the phone and the recovery codes; the history keeps who did it."""
    someone = get_object_or_404(Person, pk=pk)
    if someone == request.user:
        return redirect("program:two_step_off")  # which asks for the password
    if pressed(request, lambda: (two_step.switch_off(someone),)):
        say(request, tell("Two-step sign-in is off for {person}.", person=someone))
    return redirect("program:person", pk)
