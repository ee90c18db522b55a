"""The front page, and how it reaches each person: calendar and digest."""

import hashlib
from datetime import date

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.utils.http import http_date
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from breeding.agenda import feed_events, outbox, queries, services
from breeding.agenda.addresses import path_of
from breeding.agenda.feed_calendar import write_calendar
from breeding.agenda.forms import AnswerForm, DigestForm
from breeding.agenda.lines.line import when_words
from breeding.agenda.models import DigestChoice, Feed, Mailing
from breeding.animals.models import Animal
from breeding.pairings.drawings import draw_sheet
from breeding.pairings.readings import recent_sightings
from breeding.pairings.seasons import SeasonReading
from breeding.program import clock
from breeding.program.decorators import open_to_viewers, owners_only
from breeding.program.problems import written
from breeding.program.requests import PageRequest

SEASONS_SHOWN = 6
QUICK_FEMALES = 4


@require_safe
def day(request: PageRequest) -> HttpResponse:
    """What the day asks for, and why."""
    today = clock.today()
    found = queries.the_day(request.program, today=today)
    pressing = sorted(found.seasons, key=lambda one: one.estimate.lateness, reverse=True)
    context = {
        "day": found,
        "lines": [(line, when_words(line, today)) for line in found.lines],
        "form": AnswerForm(today=today, auto_id=False),
        "sheet": draw_sheet(pressing[:SEASONS_SHOWN], id="day"),
        "more_seasons": max(0, len(pressing) - SEASONS_SHOWN),
        "quick": _quick(found.seasons) if request.user.may_write else [],
        "sightings": recent_sightings(),
    }
    return render(request, "agenda/day.html", context)


def _quick(readings: list[SeasonReading]) -> list[Animal]:
    """The females something is likely to be seen of: with a male first, then the latest season."""
    ordered = sorted(
        readings, key=lambda one: (one.together_since or date.min, one.since or date.min)
    )
    return [one.female for one in reversed(ordered)][:QUICK_FEMALES]


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
        said = "Marked done." if is_done else "Put off."
        messages.success(request, f"{said} It stands below under “Answered”.")
        return redirect("agenda:day")
    return render(request, "agenda/answer.html", {"form": form}, status=422)


# ------------------------------------------------------------------------------------ reminders


@open_to_viewers
@require_http_methods(["GET", "HEAD", "POST"])
def reminders(request: PageRequest) -> HttpResponse:
    """One's own calendar address and digest."""
    choice = DigestChoice.objects.filter(person=request.user).first()
    sent = request.POST if request.method == "POST" else None
    form = DigestForm(sent, initial=DigestForm.as_chosen(request.user, choice))
    if kept := written(request, form, lambda: _keep_digest(request, form)):
        on = f"The digest comes from {kept.hour}:00 on." if kept.is_on else "No digest is sent."
        messages.success(request, f"Saved. {on}")
        return redirect("agenda:reminders")
    status = 200 if sent is None else 422
    return render(request, "agenda/reminders.html", _reminders(request, form), status=status)


def _keep_digest(request: PageRequest, form: DigestForm) -> DigestChoice:
    facts = form.cleaned_data
    return services.choose_digest(
        request.user,
        is_on=facts["is_on"],
        email=facts["email"],
        hour=facts["hour"],
        left_out=form.left_out,
        server_address=request.build_absolute_uri("/"),
        now=clock.now(),
    )


def _reminders(request: PageRequest, form: DigestForm) -> dict[str, object]:
    own = Feed.objects.filter(person=request.user).first()
    token = services.token_of(own)
    address = request.build_absolute_uri(reverse("agenda:feed", args=[token])) if token else ""
    return {
        "form": form,
        "feed": own,
        "address": address,
        "subscribe": f"webcal://{address.partition('://')[2]}" if address else "",
        "mail": settings.MAIL,
        "mailings": Mailing.objects.filter(person=request.user)[:5],
    }


@open_to_viewers
@require_POST
def feed_address(request: PageRequest) -> HttpResponse:
    """Make, renew or close one's own calendar address."""
    if "close" in request.POST:
        services.close_feed(request.user, now=clock.now())
        messages.success(request, "The calendar address is closed; it answers nobody any more.")
    elif "renew" in request.POST:
        services.open_feed(request.user, now=clock.now())
        messages.success(request, "The calendar address is new. The earlier one works no more.")
    elif not services.token_of(Feed.objects.filter(person=request.user).first()):
        # Pressed twice, or once more on an old page: the address a phone already has goes on.
        services.open_feed(request.user, now=clock.now())
        messages.success(request, "The calendar address is made.")
    return redirect("agenda:reminders")


@open_to_viewers
@require_POST
def send_again(request: PageRequest, pk: int) -> HttpResponse:
    """Send one's own digest of which nobody knows whether it left."""
    mailing = get_object_or_404(Mailing, pk=pk, person=request.user)
    try:
        services.send_again(mailing, now=clock.now())
    except ValidationError as problem:
        messages.error(request, problem.messages[0])
    else:
        messages.success(request, "It is sent within a few minutes.")
    return redirect("agenda:reminders")


@owners_only
@require_http_methods(["GET", "HEAD", "POST"])
def mail(request: PageRequest) -> HttpResponse:
    """Whether mail is set up, what became of the last digests; a test mail."""
    if request.method == "POST":
        if not request.user.email:
            trouble = "Write your e-mail address under Reminders first."
        else:
            trouble = outbox.send_test_mail(request.user, request.program)
        if trouble:
            messages.error(request, f"The test mail did not leave. {trouble}")
        else:
            messages.success(request, f"The mail server has taken a mail to {request.user.email}.")
        return redirect("agenda:mail")
    context = {
        "mail": settings.MAIL,
        "problem": settings.MAIL_PROBLEM,
        "mailings": Mailing.objects.select_related("person")[:20],
        "choices": DigestChoice.objects.filter(is_on=True).select_related("person"),
    }
    return render(request, "agenda/mail.html", context)


@login_not_required
@require_safe
def feed(request: PageRequest, token: str) -> HttpResponse:
    """The calendar, for whoever holds the address; a wrong or a closed one is not told apart."""
    found = services.find_feed(token)
    if found is None:
        return _of_the_feed(HttpResponse("Nothing is here.\n", "text/plain", status=404))
    now, today, program = clock.now(), clock.today(), request.program
    services.note_asking(found, now=now)
    events = feed_events.publish(queries.all_ahead(program, today=today), now=now, address=path_of)
    base = request.build_absolute_uri("/")
    body = write_calendar(
        [feed_events.entry_of(event, base) for event in events],
        name=program.name,
        zone=program.zone,
        today=today,
    )
    changed = max((event.last_modified for event in events), default=found.opened_at)
    response = HttpResponse(body, "text/calendar; charset=utf-8")
    response["Content-Disposition"] = 'inline; filename="rayward.ics"'
    response["ETag"] = f'"{hashlib.sha256(body).hexdigest()[:32]}"'
    response["Last-Modified"] = http_date(changed.timestamp())
    answer = get_conditional_response(
        request,
        etag=response["ETag"],
        last_modified=int(changed.timestamp()),
        response=response,
    )
    return _of_the_feed(answer or response)


def _of_the_feed(response: HttpResponse) -> HttpResponse:
    """Nobody else keeps it or lists it, and every asking is answered anew."""
    response["Cache-Control"] = "private, no-cache"
    response["X-Robots-Tag"] = "noindex, nofollow, noarchive"
    return response
