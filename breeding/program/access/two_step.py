"""The second step: codes of an authenticator app, and recovery codes that work once each."""

import base64
import datetime
import hashlib
import hmac
import io
import secrets
from typing import Any
from urllib.parse import quote, urlencode

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.dispatch import receiver
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from breeding.program.acts.undoing import put_back
from breeding.program.models import Person
from breeding.words.language import message, tell

RECOVERY_CODES = 10
# Each wrong code doubles the wait for the next, from a second up to 17 minutes.
MOST_DOUBLINGS = 11
_DRAWN: dict[str, Any] = {
    **{"scale": 5, "border": 4, "dark": "#000", "light": "#fff"},
    **{"xmldecl": False, "svgns": False, "title": message("The secret as a square of dots")},
}
_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that is read as another


def new_key() -> str:
    """The secret that the app and the program share, in hexadecimal."""
    return secrets.token_hex(20)


def key_in_text(key: str) -> str:
    """The secret as it is typed into an app, in groups of four."""
    text = base64.b32encode(bytes.fromhex(key)).decode()
    return " ".join(text[at : at + 4] for at in range(0, len(text), 4))


def address_for_app(key: str, *, person: Person, program_name: str) -> str:
    """What the square of dots says to the app."""
    issuer = program_name.replace(":", " ")
    about = urlencode(
        {"secret": key_in_text(key).replace(" ", ""), "issuer": issuer}, quote_via=quote
    )
    return f"otpauth://totp/{quote(issuer)}:{quote(person.username)}?{about}"


def dots(address: str) -> str:
    """The address as a square of dots, drawn into the page."""
    import segno  # not loaded where nobody sets up the second step

    out = io.BytesIO()
    segno.make(address, error="m").save(
        out, kind="svg", **_DRAWN | {"title": tell(_DRAWN["title"])}
    )
    return out.getvalue().decode()


def is_on(person: Person) -> bool:
    return person.two_step_since is not None


def codes_left(person: Person) -> int:
    left: int = StaticToken.objects.filter(device__user=person).count()
    return left


@transaction.atomic
def switch_on(person: Person, key: str, code: str, *, now: datetime.datetime) -> list[str]:
    """From now on a code is asked for after the password. The recovery codes, to be shown once.

    Raises ValidationError when the code is not one of this key now: then nothing is switched on.
    """
    if is_on(person):
        raise ValidationError(tell("Two-step sign-in is on already; switch it off first."))
    _forget(person)
    device = TOTPDevice.objects.create(user=person, name="app", key=key)
    if not device.verify_token(_typed(code)):  # which spends it: the next sign-in asks for another
        words = tell("That is not the code your app shows now. Is the clock of your phone right?")
        raise ValidationError({"code": words})
    person.two_step_since = now
    person.save(update_fields=["two_step_since"])
    return new_recovery_codes(person)


@transaction.atomic
def switch_off(person: Person) -> None:
    """The password alone signs in again; the history says who did it."""
    if not is_on(person):
        raise ValidationError(tell("Two-step sign-in is off already for {person}.", person=person))
    _forget(person)
    person.two_step_since = None
    person.save(update_fields=["two_step_since"])


def _forget(person: Person) -> None:
    TOTPDevice.objects.filter(user=person).delete()
    StaticDevice.objects.filter(user=person).delete()


@transaction.atomic
def new_recovery_codes(person: Person) -> list[str]:
    """Codes for who has lost the phone; earlier ones work no more. Only their marks are kept."""
    StaticDevice.objects.filter(user=person).delete()
    device = StaticDevice.objects.create(user=person, name="recovery")
    codes = ["".join(secrets.choice(_LETTERS) for _ in range(10)) for _ in range(RECOVERY_CODES)]
    StaticToken.objects.bulk_create(StaticToken(device=device, token=_mark(one)) for one in codes)
    return [f"{one[:5]}-{one[5:]}" for one in codes]


def takes(person: Person, code: str) -> bool:
    """Whether this code opens the second step now; it is spent when it does.

    Of two requests with one code the second waits for the first, and finds it spent.
    """
    typed = _typed(code)
    model, token = (TOTPDevice, typed) if typed.isdigit() else (StaticDevice, _mark(typed))
    with transaction.atomic():
        device = model.objects.select_for_update().filter(user=person, confirmed=True).first()
        if device is None:
            return False
        device.throttling_failure_count = min(device.throttling_failure_count, MOST_DOUBLINGS)
        return bool(device.verify_token(token))


def wait_left(person: Person, *, now: datetime.datetime) -> datetime.timedelta:
    """How long until the next code is looked at, after wrong ones."""
    until = [now]
    for model in (TOTPDevice, StaticDevice):
        for device in model.objects.filter(user=person):
            device.throttling_failure_count = min(device.throttling_failure_count, MOST_DOUBLINGS)
            _, why = device.verify_is_allowed()
            until += [why["locked_until"]] if why else []
    return max(until) - now


def _typed(code: str) -> str:
    return "".join(one for one in code.casefold() if one.isascii() and one.isalnum())


def _mark(code: str) -> str:
    """What stands for a recovery code in the table, which holds 16 characters."""
    key = settings.SECRET_KEY.encode()
    return hmac.new(key, f"recovery {code}".encode(), hashlib.sha256).hexdigest()[:16]


@receiver(put_back, dispatch_uid="two steps")
def _refuse_undoing(rows: list[models.Model], **_: Any) -> None:
    """A switch that was undone would ask for codes of an app that nobody has, or for none."""
    for person in (one for one in rows if isinstance(one, Person)):
        if is_on(person) is not TOTPDevice.objects.filter(user=person, confirmed=True).exists():
            raise ValidationError(
                tell("Two-step sign-in is not undone; switch it on or off again.")
            )
