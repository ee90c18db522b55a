"""For each request: the program and its time zone, who may write, and what pages may load."""

import logging
from collections.abc import Callable

from django.core.exceptions import PermissionDenied
from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import get_language, override

from breeding.program.acts.once import SentBeforeError, answer_again, first_of
from breeding.program.acts.receipts import keep_receipt
from breeding.program.frame.memory import for_one_request
from breeding.program.language.chosen import own_language
from breeding.program.models import Act, Person
from breeding.program.queries import the_program
from breeding.words.language import remembering, tell

log = logging.getLogger(__name__)

Answer = Callable[[HttpRequest], HttpResponse]

SAFE = ("GET", "HEAD", "OPTIONS")
# These load and run nothing; dozens come with a page, and each would carry the policy again.
PICTURES = ("image/webp", "image/jpeg")


def content_policy(get_response: Answer) -> Answer:
    """Pages load nothing from another host and run no script written into a page."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if response.headers.get("Content-Type", "").startswith(PICTURES):
            return response
        response.headers.setdefault(
            "Content-Security-Policy",
            "default-src 'self'; img-src 'self' data: blob:; style-src 'self' 'unsafe-inline'; "
            "object-src 'none'; base-uri 'self'; form-action 'self'; frame-ancestors 'none'",
        )
        return response

    return middleware


class ProgramMiddleware:
    """Put the program on the request, with its time zone and, for want of another, language."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with for_one_request(only_reads=request.method in ("GET", "HEAD")):
            program = the_program()  # after the marks, since what is kept under them rests on it
            request.program = program  # type: ignore[attr-defined]
            has_language = getattr(request, "has_language", False)
            code = get_language() if has_language else own_language(program) or get_language()
            with timezone.override(program.zone), override(code):
                response = self.get_response(request)
                response.headers.setdefault("Content-Language", get_language() or "")
                return response


def refuse_another_role(person: Person, view: Callable[..., object]) -> None:
    """Raise PermissionDenied where a view is not for somebody of this role (see decorators.py)."""
    needs = getattr(view, "needs_role", None)
    if needs == "owner" and not person.is_owner:
        raise PermissionDenied(tell("Only an owner of the program may do this."))
    if needs == "buyers" and not person.may_see_buyers:
        raise PermissionDenied(
            tell("Only keepers see buyers; an owner can let a viewer see them too.")
        )
    if needs == "keeper" and not person.may_write:
        raise PermissionDenied(tell("You can read here; only keepers and owners may write."))


class RoleMiddleware:
    """A viewer writes nothing, whatever the view forgot to ask.

    A view that a viewer may post to (signing out) carries `open_to_viewers`; one that only
    keepers or owners may open carries `needs_role` (see decorators.py).
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Callable[..., object], *_: object) -> None:
        person = request.user
        if not person.is_authenticated:
            return  # LoginRequiredMiddleware decides what strangers may see
        refuse_another_role(person, view)
        if (
            request.method not in SAFE
            and not person.may_write
            and not getattr(view, "open_to_viewers", False)
        ):
            raise PermissionDenied(tell("You can read here; only keepers and owners may write."))


class ActMiddleware:
    """Keeps the receipt of what was written, and answers a form that was sent before with it."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.method in SAFE:
            return self.get_response(request)
        with remembering():
            response = self.get_response(request)
        act: Act | None = getattr(request, "act", None)
        if act is not None:
            try:
                keep_receipt(act, response.headers.get("Location", ""))
            except OperationalError:  # as on a disk that is full by now; what is written stands
                log.exception("The receipt of what was written could not be kept")
        return response

    def process_view(self, request: HttpRequest, *_: object) -> HttpResponse | None:
        first = first_of(request) if request.method == "POST" else None
        return answer_again(request, first) if first else None

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        return answer_again(request, error.first) if isinstance(error, SentBeforeError) else None
