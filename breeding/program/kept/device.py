"""Forms that the page's own script sends: one answer it can read, and only for the same person."""

import datetime
from collections.abc import Callable

from django.core import signing
from django.http import HttpRequest, HttpResponse

from breeding.program import clock

Answer = Callable[[HttpRequest], HttpResponse]

HEADER, GO_TO, WAITED = "X-Kept", "X-Go-To", "X-Waited-Seconds"
SHORT, LONG = datetime.timedelta(seconds=30), datetime.timedelta(days=30)
_SALT = "device"


def mark_of(person_pk: int) -> str:
    """A short word for a person of this program, the same on every page; it opens nothing.

    What a phone keeps is kept under it, so that nobody else on the phone sees it, and nobody in
    another program that has the same address.
    """
    return signing.Signer(salt=_SALT).signature(str(person_pk))[:20]


def is_by_script(request: HttpRequest) -> bool:
    return HEADER in request.headers


def for_the_device(get_response: Answer) -> Answer:
    """A redirect becomes a header, so that the page it leads to is asked for once, by the browser.

    What waited on the device is written as of the moment when Save was pressed. Whoever is signed
    in now must be who typed it; otherwise 401, and it stays on the device.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        if not is_by_script(request):
            return get_response(request)
        person = request.user
        if not person.is_authenticated or mark_of(person.pk) != request.headers[HEADER]:
            return HttpResponse("Sign in to send this.", status=401, content_type="text/plain")
        with clock.as_of(_typed_at(request)):
            response = get_response(request)
        if response.has_header("Location"):
            answer = HttpResponse(status=200, content_type="text/plain")
            answer.headers[GO_TO] = response.headers["Location"]
            answer.cookies = response.cookies
            return answer
        return response

    return middleware


def _typed_at(request: HttpRequest) -> datetime.datetime:
    """When Save was pressed: it may have waited on the device, whose clock nobody trusts."""
    now = clock.arrived_at()
    seconds = request.headers.get(WAITED, "")
    if not (seconds.isascii() and seconds.isdigit() and len(seconds) < 9):
        return now
    waited = datetime.timedelta(seconds=int(seconds))
    return now - waited if SHORT < waited < LONG else now
