"""What every page frame shows."""

from typing import Any

from django.http import HttpRequest

from breeding.program import clock


def page_frame(request: HttpRequest) -> dict[str, Any]:
    person = getattr(request, "user", None)
    return {
        "program": getattr(request, "program", None),
        "today": clock.today(),
        "may_write": bool(person and person.is_authenticated and person.may_write),
        "is_owner": bool(person and person.is_authenticated and person.is_owner),
    }
