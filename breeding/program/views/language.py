"""Choosing a language: for oneself, and as a stranger for this browser."""

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods, require_safe

from breeding.program.acts.once import say
from breeding.program.frame.decorators import open_to_viewers
from breeding.program.frame.requests import PageRequest
from breeding.program.language.chosen import COOKIE, as_read_by, is_known
from breeding.program.language.forms import OwnLanguageForm
from breeding.program.problems.beside import written
from breeding.program.services import choose_language
from breeding.words.language import tell

A_YEAR_SECONDS = 365 * 24 * 60 * 60


@open_to_viewers
@require_http_methods(["GET", "HEAD", "POST"])
def own_language(request: PageRequest) -> HttpResponse:
    """In which language and by which clock one reads."""
    person = request.user
    known = {"language": person.language, "clock": person.clock}
    form = OwnLanguageForm(request.POST if request.method == "POST" else None, initial=known)
    if written(request, form, lambda: (choose_language(person, **form.cleaned_data),)):
        with as_read_by(person, request.program):
            say(request, tell("Your language and your clock are saved."))
        return redirect("program:account")
    return render(request, "program/own_language.html", {"form": form})


@login_not_required
@require_safe
def language(request: HttpRequest, code: str) -> HttpResponse:
    """Keep the language in this browser, and back to where one was."""
    back = request.GET.get("next", "")
    is_here = url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()})
    response = HttpResponseRedirect(back if is_here and back.startswith("/") else "/")
    if is_known(code):
        response.set_cookie(
            COOKIE,
            code,
            max_age=A_YEAR_SECONDS,
            secure=settings.SESSION_COOKIE_SECURE,
            httponly=True,
            samesite="Lax",
        )
    return response
