"""What every page frame shows."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.utils.translation import get_language

from breeding import __version__
from breeding.program import clock
from breeding.program.acts.receipts import receipt_for
from breeding.program.frame.memory import remembered
from breeding.program.kept.device import mark_of
from breeding.program.kinds import kind_words
from breeding.program.models import Act, Person
from breeding.program.offline.readable import addresses_ahead


def page_frame(request: HttpRequest) -> dict[str, Any]:
    person = getattr(request, "user", None)
    is_in = bool(person and person.is_authenticated)
    return {
        "receipt": _receipt(person) if person and is_in else None,
        "device_mark": mark_of(person.pk) if person and is_in else "",
        "program": getattr(request, "program", None),
        "today": clock.today(),
        "is_ahead": "X-Ahead" in request.headers,
        "ahead": _ahead(person) if person and is_in else "",
        "version": __version__ if is_in else "",
        "languages": () if is_in else settings.LANGUAGES,
        "LANGUAGE_CODE": get_language(),
        "kinds": kind_words,  # called where a page asks for it
        "may_write": bool(person and is_in and person.may_write),
        "may_see_buyers": bool(person and is_in and person.may_see_buyers),
        "is_owner": bool(person and is_in and person.is_owner),
    }


def _ahead(person: Person) -> str:
    return " ".join(addresses_ahead(may_write=person.may_write))


def _receipt(person: Person) -> Act | None:
    """Asked once a request, however many templates it draws."""
    return remembered("receipt", lambda: receipt_for(person, now=clock.now()))
