"""The calendar feed, for whoever holds its address."""

import hashlib

from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse
from django.utils.cache import get_conditional_response
from django.utils.http import http_date
from django.views.decorators.http import require_safe

from breeding.agenda import queries, services
from breeding.agenda.kinds.table import kind_of
from breeding.agenda.models import Feed, FeedEvent
from breeding.agenda.sent import feed_events
from breeding.agenda.sent.addresses import path_of
from breeding.program import clock
from breeding.program.frame.memory import for_one_request
from breeding.program.frame.requests import PageRequest
from breeding.program.language.chosen import as_read_by, language_for
from breeding.words.language import tell


@login_not_required
@require_safe
def feed(request: PageRequest, token: str) -> HttpResponse:
    """The calendar, for whoever holds the address; a wrong or a closed one is not told apart."""
    found = services.find_feed(token)
    if found is None:
        return _of_the_feed(HttpResponse(tell("Nothing is here.\n"), "text/plain", status=404))
    now, today, program = clock.now(), clock.today(), request.program
    services.note_asking(found, now=now)
    with as_read_by(None, program):  # what is kept of the calendars of all is in one language
        told = feed_events.publish(
            queries.all_ahead(program, today=today), now=now, address=path_of
        )
    with as_read_by(found.person, program):
        return _answer(request, found, told)


def _answer(request: PageRequest, found: Feed, events: list[FeedEvent]) -> HttpResponse:
    from breeding.agenda.sent.feed_calendar import (
        write_calendar,  # not loaded where nobody reads it
    )

    today, program = clock.today(), request.program
    if language_for(found.person, program) != language_for(None, program):
        with for_one_request(only_reads=True):  # what is remembered already is in the other words
            events = feed_events.told_anew(events, queries.all_ahead(program, today=today))
    if not found.person.may_see_buyers:
        events = [one for one in events if not kind_of(one.kind).is_of_buyers]
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
