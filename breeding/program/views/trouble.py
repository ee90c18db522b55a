"""Pages for what went wrong."""

import sys
from dataclasses import dataclass

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import DisallowedHost
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import get_language

from breeding.program import clock
from breeding.program.acts.once import FIELD
from breeding.program.kept import store
from breeding.program.kept.device import is_by_script
from breeding.program.problems.busy import is_unreachable
from breeding.words.language import message, tell


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    if isinstance(exception, DisallowedHost):
        name = request.META.get("HTTP_HOST", "")[:100]
        return _trouble(
            request,
            400,
            tell("This server does not answer to that name"),
            tell(
                "Whoever runs it starts it with --name {name} to let it be reached like this.",
                name=name.partition(":")[0],
            ),
        )
    return _trouble(request, 400, tell("That could not be read"), tell("Go back and try it again."))


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return _trouble(request, 403, tell("You may not do this"), str(exception or ""))


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return _trouble(
        request,
        404,
        tell("Nothing is here"),
        tell("The address is wrong, or what it led to is gone."),
    )


def server_error(request: HttpRequest) -> HttpResponse:
    """Says so without a template: whatever broke may be what the templates stand on."""
    if is_unreachable(sys.exc_info()[1]):
        page = _bare_page(
            tell("The database does not answer"),
            tell("The database does not answer just now"),
            tell(
                "Nothing of this was saved; what was saved before is safe. Try it again in a "
                "minute."
            ),
        )
        return HttpResponse(page, status=503, headers={"Retry-After": "30"})
    heading = tell("Something broke here")
    words = tell("It is written in the log. What was saved is safe.")
    return HttpResponse(_bare_page(heading, heading, words), status=500)


def _bare_page(title: str, heading: str, words: str) -> str:
    return format_html(
        '<!doctype html><html lang="{}"><meta charset="utf-8"><title>{}</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="color-scheme" content="light">'
        '<main><h1>{}</h1><p>{}</p><p><a href="/">{}</a></p></main>',
        get_language() or settings.LANGUAGE_CODE,
        title,
        heading,
        words,
        tell("To the day"),
    )


@login_not_required
def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Its security cookie is not the one of now: what was typed is kept, and nothing is written."""
    by_script = is_by_script(request)
    if by_script or not store.keep(request, now=clock.now()):
        return _trouble(
            request,
            403,
            tell("The form was too old to be accepted"),
            tell(
                "Go back, load the page again and send it once more; your browser may still hold "
                "what you typed."
            ),
        )
    return _trouble(
        request,
        403,
        tell("The form was too old to be accepted"),
        tell("Nothing of it was written, and what you typed is still here for you."),
        (tell("See what you typed"), reverse("program:kept")),
    )


def not_just_now(request: HttpRequest) -> HttpResponse:
    """For strangers, of what only those inside can put right."""
    return _trouble(
        request,
        503,
        tell("This cannot be shown just now"),
        tell("Something has to be put right here first."),
    )


@dataclass(frozen=True)
class NotSaved:
    """Why a form could not be written just now, and what to do about it; both are messages."""

    status: int
    words: str
    advice: str


NOT_SAVED = {
    "full": NotSaved(
        507,
        message("The disk is full; nothing was saved."),
        message("Whoever runs this server has to make room."),
    ),
    "busy": NotSaved(
        503,
        message("Somebody else was writing for too long; nothing was saved."),
        message("A large import takes a while."),
    ),
}


def not_saved(request: HttpRequest, why: NotSaved) -> HttpResponse:
    """What was typed goes back to the browser with the words: there is no other place for it."""
    carried = [
        (name, value)
        for name, values in request.POST.lists()
        if name not in store.NEVER_KEPT and "password" not in name.lower()
        for value in values
    ]
    context = {
        "heading": tell(why.words).removesuffix("."),
        "advice": tell(why.advice),
        "address": request.get_full_path(),
        "fields": carried,
        "token": request.POST.get(FIELD, ""),
        "had_files": any(request.FILES.values()),
    }
    return render(request, "program/not_saved.html", context, status=why.status)


def _trouble(
    request: HttpRequest, status: int, heading: str, words: str, way: tuple[str, str] | None = None
) -> HttpResponse:
    context = {"heading": heading, "words": words, "way": way or (tell("To the day"), "/")}
    return render(request, "program/trouble.html", context, status=status)
