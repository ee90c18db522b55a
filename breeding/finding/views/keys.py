"""The keys of the keyboard, and what they do."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.program.frame.requests import PageRequest


@require_safe
def keys(request: PageRequest) -> HttpResponse:
    """A page of its own; for the script that shows it over another page, its list alone."""
    is_list = request.headers.get("X-Requested-With") == "keys"
    return render(request, "finding/_keys.html" if is_list else "finding/keys.html")
