"""What every page frame shows."""

from typing import Any

from django.http import HttpRequest

from breeding.program import clock
from breeding.program.acts.receipts import receipt_for


def page_frame(request: HttpRequest) -> dict[str, Any]:
    person = getattr(request, "user", None)
    is_in = bool(person and person.is_authenticated)
    return {
        "receipt": receipt_for(person, now=clock.now()) if person and is_in else None,
        "program": getattr(request, "program", None),
        "today": clock.today(),
        "may_write": bool(person and is_in and person.may_write),
        "is_owner": bool(person and is_in and person.is_owner),
    }
