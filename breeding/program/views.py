"""Signing in, the program's settings, its people, and the pages for what went wrong."""

from typing import Any

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import DisallowedHost, ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.templatetags.static import static
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

from breeding.program import clock, services
from breeding.program.cautions import cautions
from breeding.program.decorators import owners_only
from breeding.program.forms import PersonChangeForm, PersonForm, ProgramForm, SetUpForm
from breeding.program.models import Person
from breeding.program.problems import add_problems
from breeding.program.readings import the_program

BACKEND = "django.contrib.auth.backends.ModelBackend"


@login_not_required
def link(request: HttpRequest, token: str) -> HttpResponse:
    """The one-time link: signs in, or on a new program asks for its name and its owner."""
    found = services.find_sign_in_link(token, now=clock.now())
    if found is None:
        return render(request, "program/link_spent.html", status=410)
    if found.person is None:
        return _set_up(request, found)
    person = services.use_sign_in_link(found, now=clock.now())
    if person is None:
        return render(request, "program/link_spent.html", status=410)
    login(request, person, backend=BACKEND)
    return redirect("agenda:day")


def _set_up(request: HttpRequest, found: Any) -> HttpResponse:
    form = SetUpForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        name = facts.pop("program_name")
        try:
            with transaction.atomic():  # a link is spent only together with the account it makes
                if not services.spend_sign_in_link(found, now=clock.now()):
                    return render(request, "program/link_spent.html", status=410)
                owner = services.set_up_program(name=name, **facts)
        except ValidationError as problem:
            add_problems(form, problem)
        else:
            login(request, owner, backend=BACKEND)
            messages.success(request, f"{name} is set up. Now write down the animals.")
            return redirect("agenda:day")
    return render(request, "program/set_up.html", {"form": form})


@owners_only
def settings(request: HttpRequest) -> HttpResponse:
    """The program's name, units and thresholds."""
    form = ProgramForm(request.POST or None, instance=the_program())
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "The settings are saved.")
        return redirect("program:settings")
    return render(request, "program/settings.html", {"form": form})


@owners_only
def people(request: HttpRequest) -> HttpResponse:
    """Who may sign in; a form for one more."""
    form = PersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        person = services.add_person(**form.cleaned_data)
        messages.success(request, f"{person} can sign in now.")
        return redirect("program:people")
    people = Person.objects.order_by("-is_active", "first_name", "username")
    return render(request, "program/people.html", {"form": form, "people": people})


@owners_only
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """One person's role."""
    someone = get_object_or_404(Person, pk=pk)
    known = {"called": str(someone), "role": someone.role, "is_active": someone.is_active}
    form = PersonChangeForm(request.POST or None, initial=known)
    if request.method == "POST" and form.is_valid():
        try:
            services.change_person(someone, **form.cleaned_data)
        except ValidationError as problem:
            form.add_error(None, problem)
        else:
            messages.success(request, f"{someone} is saved.")
            return redirect("program:people")
    return render(request, "program/person.html", {"form": form, "someone": someone})


@require_safe
def care(request: HttpRequest) -> HttpResponse:
    """Cautions: the spine, the law, the animals."""
    known = cautions()
    parts = [known[key] for key in ("emergency", "spine", "law", "animals")]
    return render(request, "program/care.html", {"cautions": parts})


@require_safe
def more(request: HttpRequest) -> HttpResponse:
    """Everything that has no place in the thumb's row."""
    return render(request, "program/more.html")


@login_not_required
@require_safe
@cache_control(max_age=60 * 60 * 24, public=True)
def favicon(request: HttpRequest) -> HttpResponse:
    """The mark, for browsers that ask at the usual address: beside a PDF no page names it."""
    return redirect(static("mark.svg"))


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    if isinstance(exception, DisallowedHost):
        name = request.META.get("HTTP_HOST", "")[:100]
        return _trouble(
            request,
            400,
            "This server does not answer to that name",
            f"Whoever runs it starts it with --name {name.partition(':')[0]} to let it be reached "
            "like this.",
        )
    return _trouble(request, 400, "That could not be read", "Go back and try it again.")


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return _trouble(request, 403, "Not for you to do", str(exception or ""))


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return _trouble(
        request, 404, "Nothing is here", "The address is wrong, or what it named is gone."
    )


def server_error(request: HttpRequest) -> HttpResponse:
    """Says so without a template: whatever broke may be what the templates stand on."""
    return HttpResponse(
        "<!doctype html><html lang=en><title>Something broke here</title>"
        "<h1>Something broke here</h1><p>It is written in the log. What was saved is safe.</p>"
        '<p><a href="/">To the day</a></p>',
        status=500,
    )


@login_not_required
def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:
    return _trouble(
        request,
        403,
        "The form was too old to be taken",
        "Go back, load the page again and send it once more; your browser may still hold what "
        "you typed.",
    )


def _trouble(request: HttpRequest, status: int, heading: str, words: str) -> HttpResponse:
    return render(
        request, "program/trouble.html", {"heading": heading, "words": words}, status=status
    )
