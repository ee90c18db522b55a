"""The program as something a phone installs, and what it reads where there is no network."""

from pathlib import Path

from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles import finders
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

from breeding.program.frame.requests import PageRequest
from breeding.program.offline.readable import pages_ahead, readable_offline

PAPER, TEAL = "#faf6ee", "#0f5c5c"
ICONS = (
    ("mark-192.png", "192x192", "any"),
    ("mark-512.png", "512x512", "any"),
    ("mark-whole-512.png", "512x512", "maskable"),
)


@login_not_required
@require_safe
@cache_control(max_age=60 * 60, private=True)
def manifest(request: PageRequest) -> HttpResponse:
    """What a phone is told when the program is put on its first screen.

    Strangers may read it, as a browser asks without a session: it names no program but this tool.
    """
    name = request.program.name if request.user.is_authenticated else "Rayward"
    icons = [
        {"src": static(file), "sizes": size, "type": "image/png", "purpose": purpose}
        for file, size, purpose in ICONS
    ]
    told = {
        "name": name,
        "short_name": name[:12].strip(),
        "id": "/",
        "start_url": reverse("agenda:day"),
        "scope": "/",
        "display": "standalone",
        "background_color": PAPER,
        "theme_color": TEAL,
        "icons": icons,
    }
    return JsonResponse(told, content_type="application/manifest+json")


@login_not_required
@require_safe
@cache_control(no_cache=True)
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker: from the top of all addresses, because it answers for all of them."""
    file = finders.find("worker.js")
    if file is None:
        raise Http404("The service worker is not installed.")
    return HttpResponse(Path(str(file)).read_bytes(), content_type="text/javascript")


@readable_offline
@require_safe
def no_network(request: PageRequest) -> HttpResponse:
    """What stands in place of a page that the device has not kept."""
    readable = pages_ahead(may_write=request.user.may_write)
    return render(request, "program/no_network.html", {"readable": readable})
