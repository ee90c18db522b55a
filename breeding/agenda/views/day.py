"""The front page, and answers to its lines."""

from datetime import date

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from breeding.agenda import queries, services
from breeding.agenda.addresses import path_of
from breeding.agenda.forms import AnswerForm
from breeding.agenda.lines.line import when_words
from breeding.agenda.mending import line_words
from breeding.agenda.own.queries import reminder_of
from breeding.animals.models import Animal
from breeding.pairings.queries import recent_sightings
from breeding.pairings.season.drawings import draw_sheet
from breeding.pairings.season.reading import SeasonReading
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.words.days import plain_day

SEASONS_SHOWN = 6
QUICK_FEMALES = 4


@require_safe
def day(request: PageRequest) -> HttpResponse:
    """What the day asks for, and why."""
    today = clock.today()
    found = queries.the_day(
        request.program, today=today, for_owner=request.user.is_owner, reader=request.user
    )
    pressing = sorted(found.seasons, key=lambda one: one.estimate.lateness, reverse=True)
    context = {
        "day": found,
        "lines": [(line, when_words(line, today), path_of(line)) for line in found.lines],
        "form": AnswerForm(today=today, auto_id=False),
        "sheet": draw_sheet(pressing[:SEASONS_SHOWN], id="day"),
        "more_seasons": max(0, len(pressing) - SEASONS_SHOWN),
        "quick": _quick(found.seasons) if request.user.may_write else [],
        "sightings": recent_sightings(),
    }
    return render(request, "agenda/day.html", context)


def _quick(seasons: list[SeasonReading]) -> list[Animal]:
    """The females something is likely to be seen of: with a male first, then the latest season."""
    ordered = sorted(
        seasons, key=lambda one: (one.together_since or date.min, one.since or date.min)
    )
    return [one.female for one in reversed(ordered)][:QUICK_FEMALES]


def _answered_words(key: str, *, is_done: bool) -> str:
    if is_done and (own := reminder_of(key)) is not None:
        again = f" It asks again on {plain_day(own.due_on)}." if own.due_on else ""
        return f"Done: {own.text}.{again}"
    said = "Marked done" if is_done else "Put off"
    return f"{said}: {line_words(key)}. It stands below under “Answered”."


@require_POST
def answer(request: PageRequest) -> HttpResponse:
    """Mark a line done, or put it off with a note."""
    today = clock.today()
    form = AnswerForm(request.POST)
    is_done = "done" in request.POST
    if form.is_valid():
        if is_done:
            form.cleaned_data["put_off_until"] = None
        elif form.cleaned_data["put_off_until"] is None:
            form.add_error("put_off_until", "Choose the day on which to be asked again.")
    if written(
        request,
        form,
        lambda: services.answer_line(**form.cleaned_data, by=request.user, today=today),
    ):
        say(request, _answered_words(form.cleaned_data["key"], is_done=is_done))
        return redirect("agenda:day")
    return render(request, "agenda/answer.html", {"form": form}, status=422)
