"""Pages for what went wrong."""

import sys
from dataclasses import dataclass

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import DisallowedHost
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from breeding.program import clock
from breeding.program.acts.once import FIELD
from breeding.program.kept import store
from breeding.program.kept.device import is_by_script
from breeding.program.problems.busy import is_unreachable


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
    if is_unreachable(sys.exc_info()[1]):
        return HttpResponse(
            "<!doctype html><html lang=en><title>The database does not answer</title>"
            "<h1>The database does not answer just now</h1>"
            "<p>Nothing of this was saved; what was saved before is safe. Try it again in a "
            'minute.</p><p><a href="/">To the day</a></p>',
            status=503,
            headers={"Retry-After": "30"},
        )
    return HttpResponse(
        "<!doctype html><html lang=en><title>Something broke here</title>"
        "<h1>Something broke here</h1><p>It is written in the log. What was saved is safe.</p>"
        '<p><a href="/">To the day</a></p>',
        status=500,
    )


@login_not_required
def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Its security cookie is not the one of now: what was typed is kept, and nothing is written."""
    by_script = is_by_script(request)
    if by_script or not store.keep(request, now=clock.now()):
        return _trouble(
            request,
            403,
            "The form was too old to be taken",
            "Go back, load the page again and send it once more; your browser may still hold what "
            "you typed.",
        )
    return _trouble(
        request,
        403,
        "The form was too old to be taken",
        "Nothing of it was written, and what you typed is kept for you.",
        ("See what you typed", reverse("program:kept")),
    )


def not_just_now(request: HttpRequest) -> HttpResponse:
    """For strangers, of what only those inside can put right."""
    return _trouble(
        request, 503, "This cannot be shown just now", "Something has to be put right here first."
    )


@dataclass(frozen=True)
class NotSaved:
    """Why a form could not be written just now, and what to do about it."""

    status: int
    words: str
    advice: str


NOT_SAVED = {
    "full": NotSaved(
        507, "The disk is full; nothing was saved.", "Whoever runs this server has to make room."
    ),
    "busy": NotSaved(
        503,
        "Somebody else was writing for too long; nothing was saved.",
        "A large import takes a while.",
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
        "why": why,
        "address": request.get_full_path(),
        "fields": carried,
        "token": request.POST.get(FIELD, ""),
        "had_files": any(request.FILES.values()),
    }
    return render(request, "program/not_saved.html", context, status=why.status)


def _trouble(
    request: HttpRequest, status: int, heading: str, words: str, way: tuple[str, str] | None = None
) -> HttpResponse:
    context = {"heading": heading, "words": words, "way": way or ("To the day", "/")}
    return render(request, "program/trouble.html", context, status=status)
