"""The front page, and answers to its lines."""

import datetime

from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from breeding.agenda import queries, services
from breeding.agenda.beforehand import in_turn, note_way
from breeding.agenda.forms import AnswerForm
from breeding.agenda.front import A_PAGE, DAYS, front_of, next_birth, shown_lines
from breeding.agenda.kinds.kind import GROUPS
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.mending import line_words
from breeding.agenda.own.queries import reminder_of
from breeding.pairings.log.whom import likely_of, whom
from breeding.pairings.queries import recent_sightings
from breeding.pairings.season.drawings import draw_together
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.requests import PageRequest
from breeding.program.offline.readable import readable_offline
from breeding.program.panels import panels_for
from breeding.program.problems.beside import written
from breeding.words.days import plain_day
from breeding.words.language import sentences, tell
from breeding.words.style import capital

SEASONS_SHOWN = 3
FACES = 120  # in the strip; who is not among them is found by name


@readable_offline
@require_safe
def day(request: PageRequest) -> HttpResponse:
    """What the day asks for, and why."""
    today = clock.today()
    note_way()
    with in_turn():
        found = queries.the_day(
            request.program, today=today, for_owner=request.user.is_owner, reader=request.user
        )
    pressing = sorted(found.seasons, key=lambda one: one.estimate.lateness, reverse=True)
    seen = recent_sightings()
    context = {
        "day": found,
        "front": front_of(found.lines, today),
        "week_days": [today + datetime.timedelta(days=ahead) for ahead in range(DAYS)],
        "fields": AnswerForm(today=today, auto_id=False).drawn,
        "sheet": draw_together(pressing[:SEASONS_SHOWN], id="day"),
        "more_seasons": max(0, len(pressing) - SEASONS_SHOWN),
        "next_birth": next_birth(found.seasons, today),
        "whom": whom(likely_of(found.seasons, seen), today=today, most=FACES)
        if request.user.may_write
        else None,
        "sightings": seen,
        "panels": panels_for("agenda:day", request),
    }
    return render(request, "agenda/day.html", context)


@require_safe
def alike(request: PageRequest, of: str) -> HttpResponse:
    """Every line of one kind, however many there are."""
    if of not in KINDS:
        raise Http404
    today = clock.today()
    found = queries.the_day(
        request.program, today=today, for_owner=request.user.is_owner, reader=request.user
    )
    every = [one for one in found.lines if one.kind.key == of]
    page = Paginator(every, A_PAGE).get_page(request.GET.get("page"))
    kind = KINDS[of]
    context = {
        "page": page,
        "lines": shown_lines(page.object_list, today),
        "heading": capital(tell(kind.several or GROUPS[kind.group])),
        "fields": AnswerForm(today=today, auto_id=False).drawn,
    }
    return render(request, "agenda/alike.html", context)


def _answered_words(key: str, *, is_done: bool) -> str:
    if is_done and (own := reminder_of(key)) is not None:
        done = tell("Done: {text}.", text=own.text)
        if own.due_on is None:
            return done
        return sentences(done, tell("It asks again on {day}.", day=plain_day(own.due_on)))
    line = line_words(key)
    if is_done:
        return tell("Marked done: {line}. It stands below under “Answered”.", line=line)
    return tell("Put off: {line}. It stands below under “Answered”.", line=line)


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
            form.add_error("put_off_until", tell("Choose the day on which to be asked again."))
    if written(
        request,
        form,
        lambda: services.answer_line(**form.cleaned_data, by=request.user, today=today),
    ):
        say(request, _answered_words(form.cleaned_data["key"], is_done=is_done))
        return redirect("agenda:day")
    return render(request, "agenda/answer.html", {"form": form}, status=422)
