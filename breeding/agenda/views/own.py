"""Reminders that somebody sets, and the list of them."""

from dataclasses import replace

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from breeding.agenda.own import acts
from breeding.agenda.own.forms import ReminderForm
from breeding.agenda.own.queries import ABOUT, readable_by
from breeding.agenda.own.tables import ALL_REMINDERS
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.problems.beside import written
from breeding.words.days import day_with_distance
from breeding.words.language import tell


@require_safe
def own(request: PageRequest) -> HttpResponse:
    """Every reminder, when it asks, and about what."""
    asked = replace(ALL_REMINDERS, rows=readable_by(request.user))
    return list_page(request, "agenda/own.html", asked)


@keepers_only
@require_http_methods(["GET", "HEAD", "POST"])
def remind(request: PageRequest) -> HttpResponse:
    """Set a reminder, about what the address names or nothing."""
    today = clock.today()
    sent = request.POST if request.method == "POST" else None
    named = {name: request.GET[name] for name in ABOUT if name in request.GET}
    form = ReminderForm(sent, today=today, initial=named)
    if kept := written(
        request,
        form,
        lambda: acts.set_reminder(**form.cleaned_data, by=request.user, today=today),
        {"on": "when"} if sent and not sent.get("on") else None,
    ):
        say(
            request,
            tell(
                "It is asked {day}: {text}.", day=day_with_distance(kept.on, today), text=kept.text
            ),
        )
        about = kept.animal or kept.tank or kept.contact
        return redirect(about or "agenda:own")
    context = {"form": form, "is_about": bool(named or form["animal"].value())}
    return render(request, "agenda/remind.html", context, status=422 if sent else 200)
