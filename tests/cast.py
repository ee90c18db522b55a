"""The same few people and animals everywhere: an owner, a keeper, a viewer, and invented rays."""

import datetime
import re
from fractions import Fraction
from typing import Any

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.models import Session
from django.test import Client
from django.utils.crypto import get_random_string

from breeding.animals import services as animals
from breeding.animals.models import Animal, Species
from breeding.animals.parents.parentage import Parents
from breeding.pairings.models import Pairing, Sighting, SignKind
from breeding.pairings.services import log_sighting, open_pairing
from breeding.program import clock
from breeding.program import services as program
from breeding.program.access import sessions
from breeding.program.access.devices import device_words
from breeding.program.access.models import SignedIn
from breeding.program.models import Person, Program
from breeding.program.queries import the_program as program_now

PASSWORD = "a-lantern-in-fog"


class _Everything(frozenset[str]):
    """An answer to whatever is asked, for what a test is not about."""

    def __contains__(self, mark: object) -> bool:
        return True


SURE = _Everything()


def owner() -> Person:
    """Jo, who owns Lantern Street Rays; made with the program itself."""
    return program.set_up_program(
        name="Lantern Street Rays",
        time_zone="Europe/London",
        username="jo",
        called="Jo",
        password=PASSWORD,
    )


def keeper() -> Person:
    return program.add_person(username="sam", called="Sam", password=PASSWORD, role="keeper")


def viewer() -> Person:
    return program.add_person(username="kit", called="Kit", password=PASSWORD, role="viewer")


def signed_in(person: Person) -> Client:
    """A device on which this person signed in today: the rows of it, and nothing besides.

    What signing in does is tried in `tests/program/access/`; `force_login` does it all, which takes
    a dozen queries.
    """
    store = SessionStore(get_random_string(32, "0123456789abcdefghijklmnopqrstuvwxyz"))
    held = {
        SESSION_KEY: str(person.pk),
        BACKEND_SESSION_KEY: "django.contrib.auth.backends.ModelBackend",
        HASH_SESSION_KEY: person.get_session_auth_hash(),
    }
    key, today = store.session_key, clock.today()
    Session.objects.bulk_create([store.create_model_instance(held)])
    where = SignedIn(
        person=person,
        session_key=key,
        device=device_words(""),
        began_at=clock.now(),
        seen_on=today,
    )
    SignedIn.objects.bulk_create([where])
    sessions._seen[key] = today
    client = Client()
    client.cookies[settings.SESSION_COOKIE_NAME] = key
    return client


def the_program(**changes: Any) -> Program:
    Program.objects.update_or_create(
        pk=1, defaults={"name": "Lantern Street Rays", "time_zone": "Europe/London", **changes}
    )
    return Program.objects.get(pk=1)


def species(key: str = "motoro") -> Species:
    return Species.objects.get(key=key)


def ray(call_name: str = "", sex: str = "U", **facts: Any) -> Animal:
    """A ray with few facts; `sire`, `dam`, `possible_sires`, `pure` (a species key) as wanted."""
    parents = Parents(
        facts.pop("sire", None), facts.pop("dam", None), facts.pop("possible_sires", ())
    )
    pure = facts.pop("pure", None)
    shares = {species(pure): Fraction(1)} if pure else None
    return animals.register_animal(
        by=None,
        call_name=call_name,
        sex=sex,
        parents=parents,
        species_shares=shares,
        sure=facts.pop("sure", SURE),
        **facts,
    )


def female(call_name: str = "Mira", **facts: Any) -> Animal:
    return ray(call_name, "F", **facts)


def male(call_name: str = "Deneb", **facts: Any) -> Animal:
    return ray(call_name, "M", **facts)


def day(text: str) -> datetime.date:
    return datetime.date.fromisoformat(text)


def ago(days: int, today: datetime.date | None = None) -> datetime.date:
    return (today or clock.today()) - datetime.timedelta(days=days)


def pair(
    female: Animal,
    male: Animal,
    since: int | str,
    until: int | str | None = None,
    *,
    today: datetime.date | None = None,
    **more: Any,
) -> Pairing:
    """The two together from one day to another; a day is written out, or so many days ago."""

    def on(when: int | str) -> datetime.date:
        return day(when) if isinstance(when, str) else ago(when, today)

    return open_pairing(
        female=female,
        male=male,
        introduced_on=on(since),
        separated_on=None if until is None else on(until),
        program=program_now(),
        by=None,
        today=today or clock.today(),
        **more,
    )


def see(
    female: Animal,
    when: int | str | datetime.date = 0,
    kind: str = "copulation",
    *,
    now: datetime.datetime | None = None,
    **more: Any,
) -> Sighting:
    """A sign on her: at a moment, at noon of a day, or so many days ago."""
    now = now or clock.now()
    if isinstance(when, int):
        # By the clock on the wall, which summer time moves: the same hour of that day.
        when = now.astimezone(program_now().zone) - datetime.timedelta(days=when)
    elif not isinstance(when, datetime.datetime):
        when = datetime.datetime.fromisoformat(f"{when}T12:00+00:00")
    seen = SignKind.objects.get(key=kind)
    return log_sighting(female=female, kind=seen, seen_at=when, now=now, by=None, **more)


# Letters drawn anew in every run, in which a short name can stand: "Ida", once in a thousand pages.
KEYS_OF_FORMS = re.compile(r'(name="(?:csrfmiddlewaretoken|once)" value)="[^"]*"')


def words(answer: Any) -> str:
    """A page as one line, without the keys of its forms."""
    return " ".join(KEYS_OF_FORMS.sub(r'\1=""', answer.content.decode()).split())
