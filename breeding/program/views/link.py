"""Signing in by a link that works once."""

from typing import Any

from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from breeding.program import clock, services
from breeding.program.acts.once import say
from breeding.program.forms import SetUpForm
from breeding.program.kept.store import kept_for
from breeding.program.problems.beside import add_problems

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
    has_kept = kept_for(person, now=clock.now()).exists()
    return redirect("program:kept" if has_kept else "agenda:day")


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
            add_problems(form, problem, {"name": "program_name", "first_name": "called"})
        else:
            login(request, owner, backend=BACKEND)
            say(request, f"{name} is set up. Now write down the animals.")
            return redirect("agenda:day")
    return render(request, "program/set_up.html", {"form": form})
