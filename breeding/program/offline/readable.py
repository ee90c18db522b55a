"""Which pages a device may keep to read without a network, and for whom.

A view says it of itself; everything else is never kept. The header names the person, so that what
is kept of one is never shown to another, and is thrown away when somebody else signs in.
"""

from collections.abc import Callable
from typing import Any, TypeVar

from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from breeding.program.kept.device import mark_of
from breeding.words.language import tell

HEADER = "X-Readable-Offline"
GOES_ON = "X-Goes-On-At"
Answer = Callable[[HttpRequest], HttpResponse]
View = TypeVar("View", bound=Callable[..., HttpResponse])
_ahead: dict[str, tuple[str, bool]] = {}  # a route: its page's name, only for keepers


def readable_offline(view: View) -> View:
    """The page of this view may lie on the device of the person who opened it."""
    view.readable_offline = True  # type: ignore[attr-defined]
    return view


def fetch_ahead(route: str, words: str, *, for_keepers: bool = False) -> None:
    """The page of this route is fetched before anybody asks for it: it is needed at a tank.

    `words` are a message: what the page is called.
    """
    _ahead[route] = (words, for_keepers)


def goes_on_at(response: HttpResponse, address: str) -> None:
    """The rest of this page is on another one: what is fetched ahead is fetched with its rest."""
    response.headers[GOES_ON] = address


def pages_ahead(*, may_write: bool) -> list[tuple[str, str]]:
    """The addresses of these pages for somebody, and what they are called."""
    return [
        (reverse(route), tell(words))
        for route, (words, for_keepers) in _ahead.items()
        if may_write or not for_keepers
    ]


def addresses_ahead(*, may_write: bool) -> list[str]:
    """The same, with the page that stands in place of one that is not kept."""
    pages = [address for address, _ in pages_ahead(may_write=may_write)]
    return [reverse("program:no_network"), *pages]


class ReadableOfflineMiddleware:
    """Marks the whole pages that may be kept with the person they were shown to."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if getattr(request, "is_readable_offline", False) and response.status_code == 200:
            response.headers[HEADER] = mark_of(request.user.pk or 0)
        return response

    def process_view(
        self, request: HttpRequest, view: Callable[..., object], *_: Any
    ) -> HttpResponse | None:
        request.is_readable_offline = (  # type: ignore[attr-defined]
            request.method == "GET"
            and request.user.is_authenticated
            and getattr(view, "readable_offline", False)
        )
        return None
