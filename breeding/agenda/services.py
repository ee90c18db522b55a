"""Answers to lines of the day; each person's calendar address and digest."""

import base64
import datetime
import hashlib
import secrets
from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.core.signing import BadSignature, Signer
from django.core.validators import validate_email
from django.db import transaction
from django.utils import timezone
from django.utils.crypto import salted_hmac

from breeding.agenda.kinds.kind import GROUPS
from breeding.agenda.models import Answer, DigestChoice, Feed, Mailing, Reminder
from breeding.agenda.own.acts import mark_done
from breeding.agenda.own.queries import is_own
from breeding.program.models import Person
from breeding.program.services import bring_back
from breeding.words.days import long_day
from breeding.words.language import tell


@transaction.atomic
def answer_line(
    key: str,
    *,
    by: Person | None,
    today: datetime.date,
    put_off_until: datetime.date | None = None,
    note: str = "",
) -> Answer | Reminder:
    """Mark a line done, or put it off until a later day; earlier answers stay on record.

    A reminder that somebody set keeps itself when it was done.
    """
    if put_off_until is None and is_own(key):
        return mark_done(key, today=today)
    _check_to_come(put_off_until, today)
    answer = Answer(key=key, put_off_until=put_off_until, note=note.strip(), recorded_by=by)
    answer.full_clean()
    answer.save()
    return answer


@transaction.atomic
def change_answer(
    answer: Answer, *, put_off_until: datetime.date | None, today: datetime.date, note: str = ""
) -> Answer:
    """Done after all, put off until another day, or another note."""
    if put_off_until is None and is_own(answer.key):
        raise ValidationError(
            {
                "put_off_until": tell(
                    "A reminder is done by its own button. Choose another day, or "
                    "take this answer back to be asked on its day."
                )
            }
        )
    if put_off_until != answer.put_off_until:
        _check_to_come(put_off_until, today)
    answer.put_off_until, answer.note = put_off_until, note.strip()
    answer.full_clean()
    answer.save()
    return answer


@transaction.atomic
def bring_back_answer(answer: Answer) -> Answer:
    """It counts again, unless the line was answered anew since."""
    given = Answer.objects.filter(key=answer.key, withdrawn_at__isnull=True)
    anew = given.filter(recorded_at__gt=answer.recorded_at).order_by("recorded_at").last()
    if anew is not None:
        at = long_day(timezone.localdate(anew.recorded_at))
        raise ValidationError(
            tell("It was answered anew on {day}; withdraw that answer first.", day=at)
        )
    return bring_back(answer)


def _check_to_come(on: datetime.date | None, today: datetime.date) -> None:
    if on is not None and on <= today:
        raise ValidationError(
            {"put_off_until": tell("{day} is not later than today; choose a day to come.", day=on)}
        )


# ------------------------------------------------------------------------------------ calendar


def _token(nonce: str) -> str:
    """192 bits, made of the feed's nonce and the program's own key."""
    mac = salted_hmac("breeding.agenda.feed", nonce, algorithm="sha256").digest()
    return base64.urlsafe_b64encode(mac[:24]).decode()


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


@transaction.atomic
def open_feed(person: Person, *, now: datetime.datetime) -> str:
    """A new private calendar address for this person; an earlier one stops working at once."""
    nonce = secrets.token_urlsafe(32)
    token = _token(nonce)
    Feed.objects.update_or_create(
        person=person,
        defaults={
            "nonce": nonce,
            "token_hash": _hash(token),
            "opened_at": now,
            "closed_at": None,
            "asked_at": None,
        },
    )
    return token


@transaction.atomic
def close_feed(person: Person, *, now: datetime.datetime) -> None:
    """The address stops working; nothing happens when there is none."""
    for feed in Feed.objects.filter(person=person, closed_at__isnull=True):
        feed.closed_at = now
        feed.save()


def token_of(feed: Feed | None) -> str:
    """The secret part of the address, to show it again.

    Empty when the feed is closed, and when the program's key is another one by now (the data
    came from a copy without it): then a new address has to be made.
    """
    if feed is None or feed.closed_at is not None:
        return ""
    token = _token(feed.nonce)
    return token if _hash(token) == feed.token_hash else ""


def find_feed(token: str) -> Feed | None:
    """The open feed of a person who may still sign in."""
    return (
        Feed.objects.select_related("person")
        .filter(token_hash=_hash(token), closed_at__isnull=True, person__is_active=True)
        .first()
    )


def note_asking(feed: Feed, *, now: datetime.datetime) -> None:
    """Remember to the hour when a calendar last asked, so that the page can say that one does."""
    if feed.asked_at is None or now - feed.asked_at >= datetime.timedelta(hours=1):
        Feed.objects.filter(pk=feed.pk).update(asked_at=now)


# -------------------------------------------------------------------------------------- digest


@transaction.atomic
def choose_digest(
    person: Person,
    *,
    is_on: bool,
    email: str,
    hour: int,
    left_out: Iterable[str] = (),
    server_address: str = "",
    now: datetime.datetime,
) -> DigestChoice:
    """Whether, where to, when and about what; switched on after its hour it begins tomorrow."""
    email, left = email.strip(), sorted(set(left_out))
    if is_on and not email:
        raise ValidationError({"email": tell("Write the address the digest goes to.")})
    if email:
        try:
            validate_email(email)
        except ValidationError:
            raise ValidationError(
                {
                    "email": tell(
                        "“{email}” is not an e-mail address; write it like jo@example.org.",
                        email=email,
                    )
                }
            ) from None
    if not 0 <= hour <= 23:
        raise ValidationError(
            {"hour": tell("{hour} is not an hour; allowed is 0 to 23.", hour=hour)}
        )
    unknown = [group for group in left if group not in GROUPS]
    if unknown:
        raise ValidationError(
            tell(
                "“{unknown}” is not a kind of line; known: {known}.",
                unknown=unknown[0],
                known=", ".join(GROUPS),
            )
        )
    if is_on and len(left) == len(GROUPS):
        raise ValidationError(tell("Choose at least one kind of line, or switch the digest off."))
    local = timezone.localtime(now)
    begins_on = local.date() + datetime.timedelta(days=int(local.hour >= hour))
    choice = DigestChoice.objects.filter(person=person).first()
    if choice is None:
        choice = DigestChoice(person=person, begins_on=begins_on)
    elif is_on and not choice.is_on:
        choice.begins_on = begins_on
    choice.is_on, choice.hour, choice.left_out = is_on, hour, left
    choice.server_address = server_address
    choice.full_clean()
    choice.save()
    if person.email != email:
        person.email = email
        person.full_clean()
        person.save()
    return choice


_STOPS = Signer(salt="breeding.agenda.stop", sep=".")


def stop_token(person: Person) -> str:
    """What ends this person's digest without signing in: it stands in each mail."""
    return _STOPS.sign(str(person.pk))


def digest_to_stop(token: str) -> DigestChoice | None:
    """The choice of the person who was given this token; None for a token that nobody was."""
    try:
        key = _STOPS.unsign(token)
    except BadSignature:
        return None
    return DigestChoice.objects.select_related("person").filter(person=int(key)).first()


@transaction.atomic
def stop_digest(choice: DigestChoice) -> None:
    """No digest goes to this person any more; done twice, it is done once."""
    kept = DigestChoice.objects.select_for_update().get(pk=choice.pk)
    if kept.is_on:
        kept.is_on = False
        kept.save(update_fields=["is_on"])


@transaction.atomic
def send_again(mailing: Mailing, *, now: datetime.datetime) -> None:
    """Send a digest of which nobody knows whether it left: the person says that it did not."""
    waiting = Mailing.objects.filter(pk=mailing.pk, state=Mailing.State.UNSURE).update(
        state=Mailing.State.WAITING, next_try_at=now, last_error=""
    )
    if not waiting:
        raise ValidationError(tell("Only a digest that may not have left can be sent again."))
