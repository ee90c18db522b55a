"""What reminders add to the pages of an animal, a tank and a contact."""

from django.db.models import Model
from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.agenda.own.queries import standing_of
from breeding.animals.away.gone import GONE


def reminders_panel(request: HttpRequest, about: Model) -> str:
    """What one is reminded of here, and a way to set another."""
    is_gone = getattr(about, "is_withdrawn", False) or getattr(about, "state", "") in GONE
    context = {
        "field": about._meta.model_name,
        "about": about,
        "reminders": standing_of(about),
        "may_be_set": not is_gone and not getattr(about, "is_erased", False),
    }
    return render_to_string("agenda/_reminders_panel.html", context, request)
