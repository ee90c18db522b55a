"""The two steps of a sign-in: nobody is signed in before the last of them."""

import time

from django.contrib.auth import login
from django.http import HttpRequest
from django.urls import reverse

from breeding.program import clock
from breeding.program.access import two_step
from breeding.program.kept.store import kept_for
from breeding.program.models import Person

BACKEND = "django.contrib.auth.backends.ModelBackend"
WAITING, WAITS_SECONDS = "first_step", 600


def after_first_step(request: HttpRequest, person: Person, next_page: str = "") -> str:
    """The password or a link was right: where to go now, to the code or signed in."""
    if not two_step.is_on(person):
        return _sign_in(request, person, next_page)
    request.session.cycle_key()
    request.session[WAITING] = {
        "person": person.pk,
        "password": person.get_session_auth_hash(),
        "at": int(time.time()),
        "next": next_page,
    }
    return reverse("program:sign_in_code")


def who_waits(request: HttpRequest) -> Person | None:
    """Who has taken the first step a little while ago, and has not changed the password since."""
    waiting = request.session.get(WAITING)
    if not waiting or not 0 <= time.time() - waiting["at"] <= WAITS_SECONDS:
        return None
    person = Person.objects.filter(pk=waiting["person"], is_active=True).first()
    return person if person and person.get_session_auth_hash() == waiting["password"] else None


def after_second_step(request: HttpRequest, person: Person) -> str:
    """The code was right as well."""
    next_page = request.session.pop(WAITING, {}).get("next", "")
    return _sign_in(request, person, next_page)


def _sign_in(request: HttpRequest, person: Person, next_page: str) -> str:
    login(request, person, backend=BACKEND)
    if kept_for(person, now=clock.now()).exists():
        return reverse("program:kept")
    return next_page or reverse("agenda:day")
