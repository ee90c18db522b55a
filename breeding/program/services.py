"""Acts on the program and its people."""

import datetime
import hashlib
import secrets
from collections.abc import Sequence
from copy import copy
from typing import TypeVar

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.program.access import sessions
from breeding.program.acts.resting import counts, whole_of
from breeding.program.acts.together import keep_changes
from breeding.program.models import Person, Program, ShownColumns, SignInLink, Withdrawable
from breeding.program.parts import in_parts
from breeding.program.problems import constraints
from breeding.words.language import tell

Withdrawn = TypeVar("Withdrawn", bound=Withdrawable)


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


@transaction.atomic
def make_sign_in_link(
    person: Person | None,
    *,
    now: datetime.datetime,
    good_for: datetime.timedelta,
    asks_password: bool = False,
) -> str:
    """A new token that works once; for nobody: it lets the owner's account be made.

    With `asks_password` it asks for a new password before it signs in. Earlier links for the same
    purpose stop working. Only a hash of the token is stored.
    """
    SignInLink.objects.filter(person=person, used_at__isnull=True).delete()
    token = secrets.token_urlsafe(24)
    SignInLink.objects.create(
        token_hash=_hash(token),
        person=person,
        made_at=now,
        good_until=now + good_for,
        asks_password=asks_password,
    )
    return token


def find_sign_in_link(token: str, *, now: datetime.datetime) -> SignInLink | None:
    """The unused link with this token, or None when it is unknown, used or too old."""
    return (
        SignInLink.objects.select_related("person")
        .filter(token_hash=_hash(token), used_at__isnull=True, good_until__gt=now)
        .first()
    )


def spend_sign_in_link(link: SignInLink, *, now: datetime.datetime) -> bool:
    """Use the link up; False when somebody else was quicker."""
    unused = SignInLink.objects.filter(pk=link.pk, used_at__isnull=True)
    return unused.update(used_at=now) == 1


def use_sign_in_link(link: SignInLink, *, now: datetime.datetime) -> Person | None:
    """Use the link up; None when somebody else was quicker, or the account is closed."""
    spent = spend_sign_in_link(link, now=now)
    return link.person if spent and link.person and link.person.is_active else None


@transaction.atomic
def set_up_program(
    *,
    name: str,
    time_zone: str,
    username: str,
    called: str,
    password: str,
    language: str = "",
    is_demo: bool = False,
) -> Person:
    """Name the program and make its owner's account."""
    program, _ = Program.objects.update_or_create(
        pk=1,
        defaults={
            "name": name,
            "time_zone": time_zone,
            "language": language,
            "is_demo": is_demo,
        },
    )
    program.full_clean()
    return add_person(username=username, called=called, password=password, role=Person.Role.OWNER)


@transaction.atomic
def save_settings(program: Program) -> Program:
    """Keep the program's name, units and thresholds as they were filled in."""
    program.full_clean()
    program.save()
    return program


@transaction.atomic
def add_person(
    *, username: str, called: str, password: str, role: str, sees_buyers: bool = False
) -> Person:
    person = Person(
        username=username,
        first_name=called,
        role=role,
        is_staff=role == Person.Role.OWNER,
        sees_buyers=sees_buyers,
    )
    person.set_password(password)
    person.full_clean()
    person.save()
    return person


@transaction.atomic
def choose_language(person: Person, *, language: str, clock: str) -> Person:
    """In which language and by which clock somebody reads; empty leaves it to the browser."""
    person.language, person.clock = language, clock
    person.full_clean()
    person.save(update_fields=["language", "clock"])
    return person


@transaction.atomic
def change_person(
    person: Person, *, called: str, role: str, is_active: bool, sees_buyers: bool = False
) -> Person:
    """Change a role or close an account, and end its sessions; the last owner stays an owner."""
    stays_owner = role == Person.Role.OWNER and is_active
    if not stays_owner:
        check_another_owner(person)
    person.first_name, person.role, person.is_active = called, role, is_active
    person.is_staff, person.sees_buyers = stays_owner, sees_buyers
    person.full_clean()
    person.save()
    if not person.is_active:
        sessions.end_all(person)
    return person


def check_another_owner(person: Person) -> None:
    """Raise ValidationError where nobody but this person is an owner whose account is open."""
    owners = Person.objects.filter(role=Person.Role.OWNER, is_active=True).exclude(pk=person.pk)
    if not owners.exists():
        raise ValidationError(
            tell("{person} is the only owner; make somebody else an owner first.", person=person)
        )


@transaction.atomic
def withdraw(
    record: Withdrawn, *, by: Person | None, now: datetime.datetime, reason: str
) -> Withdrawn:
    """Take a mistaken record out of all reckoning; it stays readable with the reason."""
    if record.is_withdrawn:
        raise ValidationError(tell("This record has been withdrawn already."))
    if not reason.strip():
        raise ValidationError(tell("Say why it is withdrawn; the reason stays with the record."))
    record.withdrawn_at, record.withdrawn_by, record.withdrawn_reason = now, by, reason.strip()
    record.save()
    return record


def withdraw_together(
    records: Sequence[Withdrawn], *, by: Person | None, now: datetime.datetime, reason: str
) -> None:
    """The same of many of one model that count, for one reason that is not empty."""
    changes = []
    for record in records:
        before = copy(record)
        record.withdrawn_at, record.withdrawn_by, record.withdrawn_reason = now, by, reason
        changes.append((before, record))
    for part in in_parts(records):
        found = type(part[0])._base_manager.filter(pk__in=[one.pk for one in part])
        found.update(withdrawn_at=now, withdrawn_by=by, withdrawn_reason=reason)
    keep_changes(changes, ("withdrawn_at", "withdrawn_by", "withdrawn_reason"))


def refuse_withdrawn(record: Withdrawable) -> None:
    """Raise ValidationError when the record counts no more, as it was read."""
    if record.is_withdrawn:
        raise ValidationError(tell("{record} is withdrawn; bring it back first.", record=record))


@transaction.atomic
def bring_back(record: Withdrawn) -> Withdrawn:
    """Let a record that was withdrawn count again.

    Raises ValidationError when it counts already, and in the words of the rule that stops it
    when something else has taken its place.
    """
    if not record.is_withdrawn:
        raise ValidationError(tell("This record counts already."))
    whole = whole_of(record)
    if whole is not None and not counts(whole):
        raise ValidationError(
            tell("It belongs to {record}, which is withdrawn; bring that back first.", record=whole)
        )
    record.withdrawn_at, record.withdrawn_by, record.withdrawn_reason = None, None, ""
    with constraints.named(record):
        record.save()
    return record


def choose_columns(person: Person, list_key: str, columns: list[str]) -> None:
    """Keep which columns of a list this person sees from now on."""
    ShownColumns.objects.update_or_create(
        person=person, list_key=list_key, defaults={"columns": columns}
    )


def forget_columns(person: Person, list_key: str) -> None:
    """Show the columns of a list as at first."""
    ShownColumns.objects.filter(person=person, list_key=list_key).delete()
