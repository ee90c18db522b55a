"""Ending the digest by the link in each mail, without signing in."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from breeding.agenda import services
from breeding.program.frame.decorators import open_to_viewers


# Mail programs send the form by themselves (RFC 8058): without a cookie, without our token. Only
# who was given the address can, and all it does is to send no more mail.
@csrf_exempt
@open_to_viewers
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def stop(request: HttpRequest, token: str) -> HttpResponse:
    """Asks first: a program that looks at links before a person does ends nothing."""
    choice = services.digest_to_stop(token)
    if choice is None:
        return _quiet(render(request, "agenda/stop.html", {"is_known": False}, status=404))
    if request.method == "POST":
        services.stop_digest(choice)
        choice.is_on = False
    return _quiet(render(request, "agenda/stop.html", {"is_known": True, "is_on": choice.is_on}))


def _quiet(response: HttpResponse) -> HttpResponse:
    """Kept and listed by nobody; no other site learns the address."""
    response["Cache-Control"] = "private, no-store"
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex, nofollow, noarchive"
    return response
