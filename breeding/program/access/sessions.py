"""Where people are signed in: written down once a day, listed, and ended."""

import datetime
from collections import OrderedDict
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.signals import user_logged_in, user_logged_out
from django.contrib.sessions.models import Session
from django.db import DatabaseError, transaction
from django.db.models import QuerySet
from django.dispatch import receiver
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from breeding.program import clock
from breeding.program.access.devices import device_words
from breeding.program.access.models import SignedIn
from breeding.program.models import Person

Answer = Callable[[HttpRequest], HttpResponse]
MOST_REMEMBERED = 2000
# The day on which this process wrote down each session last, so that most pages ask nothing.
_seen: OrderedDict[str, datetime.date] = OrderedDict()


def note_where(get_response: Answer) -> Answer:
    """The day on which each session was last seen, whichever page was asked for."""

    def middleware(request: HttpRequest) -> HttpResponse:
        key = request.session.session_key
        today = timezone.localdate(clock.arrived_at())
        if key and _seen.get(key) != today and request.user.is_authenticated:
            try:
                with transaction.atomic():
                    write_down(request, request.user, on=today)
            except DatabaseError:
                pass  # a full disk stops nobody from reading
        return get_response(request)

    return middleware


def write_down(request: HttpRequest, person: Person, *, on: datetime.date) -> None:
    """This session is this person's, and was seen on this day."""
    key = request.session.session_key or ""
    if not SignedIn.objects.filter(session_key=key, person=person).update(seen_on=on):
        SignedIn.objects.update_or_create(
            session_key=key,
            defaults={
                "person": person,
                "device": device_words(request.headers.get("User-Agent", "")),
                "began_at": clock.arrived_at(),
                "seen_on": on,
            },
        )
    _seen[key] = on
    while len(_seen) > MOST_REMEMBERED:
        _seen.popitem(last=False)


@receiver(user_logged_in)
def _begun(request: HttpRequest, user: Person, **_: Any) -> None:
    today = timezone.localdate(clock.arrived_at())
    write_down(request, user, on=today)
    oldest = today - datetime.timedelta(seconds=settings.SESSION_COOKIE_AGE)
    SignedIn.objects.filter(person=user, seen_on__lt=oldest).delete()


@receiver(user_logged_out)
def _ended(request: HttpRequest, **_: Any) -> None:
    SignedIn.objects.filter(session_key=request.session.session_key or "").delete()


def where_signed_in(person: Person, *, now: datetime.datetime) -> QuerySet[SignedIn]:
    """Where this person is signed in now, the last seen first."""
    good = Session.objects.filter(expire_date__gt=now).values("session_key")
    return SignedIn.objects.filter(person=person, session_key__in=good)


@transaction.atomic
def end_one(signed_in: SignedIn) -> None:
    """Whoever holds this device signs in anew."""
    _end(SignedIn.objects.filter(pk=signed_in.pk))


@transaction.atomic
def end_all(person: Person, *, but: str | None = None) -> int:
    """End every session of this person, but for the one with this key; how many there were."""
    return _end(SignedIn.objects.filter(person=person).exclude(session_key=but or ""))


def keep_this_one(request: HttpRequest, person: Person) -> None:
    """The session in which somebody changed the own password goes on, under another key."""
    before = request.session.session_key
    update_session_auth_hash(request, person)
    SignedIn.objects.filter(session_key=before).update(session_key=request.session.session_key)


def _end(ending: QuerySet[SignedIn]) -> int:
    keys = list(ending.values_list("session_key", flat=True))
    ended, _ = Session.objects.filter(session_key__in=keys).delete()
    ending.delete()
    for key in keys:
        _seen.pop(key, None)
    return ended
