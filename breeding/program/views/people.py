"""Who may see and write."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from breeding.program import services
from breeding.program.acts.once import say
from breeding.program.forms import PersonChangeForm, PersonForm
from breeding.program.frame.decorators import owners_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.models import Person
from breeding.program.problems.beside import written
from breeding.program.tables import ALL_PEOPLE

PLACES = {"first_name": "called"}


@owners_only
def people(request: PageRequest) -> HttpResponse:
    """Who may sign in; a form for one more."""
    form = PersonForm(request.POST or None)
    if person := written(request, form, lambda: services.add_person(**form.cleaned_data), PLACES):
        say(request, f"{person} can sign in now.")
        return redirect("program:people")
    return list_page(request, "program/people.html", ALL_PEOPLE, form=form)


@owners_only
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """One person's role."""
    someone = get_object_or_404(Person, pk=pk)
    known = {"called": str(someone), "role": someone.role, "is_active": someone.is_active}
    form = PersonChangeForm(request.POST or None, initial=known)
    if written(
        request,
        form,
        lambda: services.change_person(someone, **form.cleaned_data),
        PLACES,
        changing=someone,
    ):
        say(request, f"{someone} is saved.")
        return redirect("program:people")
    return render(request, "program/person.html", {"form": form, "someone": someone})
