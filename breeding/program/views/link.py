"""Signing in by a link that works once."""

from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from breeding.program import clock, services
from breeding.program.access.forms import NewPasswordForm
from breeding.program.access.passwords import keep_by_link
from breeding.program.access.sign_in import BACKEND, after_first_step
from breeding.program.acts.once import say
from breeding.program.forms import SetUpForm
from breeding.program.frame.decorators import never_looked_over
from breeding.program.models import Person, SignInLink
from breeding.program.problems.beside import add_problems
from breeding.program.typed.zones import taken_words
from breeding.program.views.sign_in import busy_when
from breeding.words.language import tell


@login_not_required
@never_cache
@never_looked_over
@require_http_methods(["GET", "HEAD", "POST"])
def link(request: HttpRequest, token: str) -> HttpResponse:
    """The one-time link: signs in, asks for a new password, or sets a new program up.

    Looking at it spends nothing: chat programs look at what is sent with them.
    """
    found = services.find_sign_in_link(token, now=clock.now())
    if found is None or (found.person and not found.person.is_active):
        return _spent(request)
    if found.person is None:
        return _set_up(request, found)
    if found.asks_password:
        return _new_password(request, found, found.person)
    if request.method != "POST":
        return render(request, "program/link.html", {"someone": found.person})
    person = services.use_sign_in_link(found, now=clock.now())
    return redirect(after_first_step(request, person)) if person else _spent(request)


def _spent(request: HttpRequest) -> HttpResponse:
    return render(request, "program/link_spent.html", status=410)


def _new_password(request: HttpRequest, found: SignInLink, person: Person) -> HttpResponse:
    form = NewPasswordForm(request.POST if request.method == "POST" else None, person=person)
    if not form.is_valid():
        page = render(request, "program/link_password.html", {"form": form, "someone": person})
        return busy_when(form, page)
    changed = keep_by_link(found, form.cleaned_data["hashed"], now=clock.now())
    return redirect(after_first_step(request, changed)) if changed else _spent(request)


def _set_up(request: HttpRequest, found: SignInLink) -> HttpResponse:
    form = SetUpForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        name = facts.pop("program_name")
        try:
            with transaction.atomic():  # a link is spent only together with the account it makes
                if not services.spend_sign_in_link(found, now=clock.now()):
                    return _spent(request)
                owner = services.set_up_program(name=name, **facts)
        except ValidationError as problem:
            add_problems(form, problem, {"name": "program_name", "first_name": "called"})
        else:
            login(request, owner, backend=BACKEND)
            say(
                request,
                tell(
                    "{program} is set up. “What next” below leads you to the first pairing.",
                    program=name,
                ),
                *filter(None, [taken_words(form)]),
            )
            return redirect("agenda:day")
    return render(request, "program/set_up.html", {"form": form})
