"""Sends each person's digest once a day: the row first, then the mail, then the row again.

States of a row: waiting, claimed, handing over, sent. A claim is one conditional UPDATE, so of two
processes (the server itself, cron) one alone gets it. What can go wrong:

- The mail server refuses, drops the connection or is not there, and this process knows that it
  was given no word of acceptance: the row waits and is tried again with growing pauses, under the
  same Message-ID, until it goes out or the next day's digest takes its place. RFC 5321 (4.2.5,
  6.1) wants it so; a server that accepted it and lost the line on the way back may then hold two
  copies with one Message-ID, which mail stores know to be one.
- This process dies before it began to hand over: nothing was sent, the row waits again.
- This process dies between the beginning of the hand-over and writing down that it is over:
  nobody knows. That one is *not* sent again by itself. Its row says so, its reader can ask for it
  with one press, and as nothing in it counts as told, the next morning's digest brings all that
  still stands. So nothing comes twice, and nothing is lost for longer than a day. The gap is kept
  small: connecting, encryption and signing in come before it.
"""

import datetime
import logging
from collections.abc import Callable
from dataclasses import dataclass
from email.utils import formataddr

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection
from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import salted_hmac
from django.utils.translation import get_language

from breeding.agenda.lines.line import Line
from breeding.agenda.models import DigestChoice, Mailing
from breeding.agenda.queries import seen_by, the_day
from breeding.agenda.sent.addresses import path_of
from breeding.agenda.sent.digest import Digest, digest_of
from breeding.agenda.sent.mail_words import problem_words
from breeding.agenda.services import stop_token
from breeding.program.language.chosen import as_read_by
from breeding.program.models import Person, Program
from breeding.program.queries import the_program
from breeding.words.clock import hours_of_clock
from breeding.words.language import tell

log = logging.getLogger(__name__)

State = Mailing.State
# Longer than all the timeouts of one conversation together: whoever claimed it is gone by then.
LEASE = datetime.timedelta(minutes=15)
LONGEST_PAUSE_MINUTES = 120


@dataclass(frozen=True)
class Outcome:
    """What became of one person's digest; `state` as in Mailing."""

    person: Person
    state: str
    words: str


def pause(attempts: int) -> datetime.timedelta:
    """How long to wait after so many attempts: 1, 2, 4 minutes and so on, up to two hours.

    >>> [int(pause(n).total_seconds() / 60) for n in (1, 2, 3, 7, 8, 1000)]
    [1, 2, 4, 64, 120, 120]
    """
    return datetime.timedelta(minutes=min(2 ** min(attempts - 1, 10), LONGEST_PAUSE_MINUTES))


def remind(now: datetime.datetime) -> list[Outcome]:
    """Send every digest that is due at this moment; called as often as one likes.

    A digest is due from the person's hour on, by the program's clock on the wall: an hour that
    does not exist begins with the next one, an hour that comes twice is served the first time.
    Days that have passed while nothing ran are not made up for: today's tells what stands now.
    """
    if settings.MAIL is None:
        return []
    program = the_program()
    with timezone.override(program.zone), as_read_by(None, program):
        _settle_the_dead(now)
        choices = list(
            DigestChoice.objects.filter(is_on=True, person__is_active=True)
            .exclude(person__email="")
            .select_related("person")
        )
        wanted = [choice.person_id for choice in choices]
        _drop(Mailing.objects.filter(state=State.WAITING).exclude(person__in=wanted))
        day = _Day(program, timezone.localdate(now))
        outcomes = []
        for choice in choices:
            try:
                with as_read_by(choice.person, program):
                    outcome = _serve(choice, day, now)
            except Exception:  # one person's trouble keeps nobody else's digest back
                log.exception("The digest for person %s met an error", choice.person_id)
                outcome = Outcome(
                    choice.person, State.WAITING, tell("An error; the log says more.")
                )
            if outcome is not None:
                outcomes.append(outcome)
    return outcomes


class _Day:
    """The front page's lines, read once for each way they are told, when somebody is to be."""

    def __init__(self, program: Program, today: datetime.date) -> None:
        self.program, self.today = program, today
        self._lines: dict[tuple[str | None, str], list[Line]] = {}

    def lines_for(self, person: Person) -> list[Line]:
        way = (get_language(), hours_of_clock())
        if way not in self._lines:
            self._lines[way] = the_day(self.program, today=self.today, for_owner=True).lines
        return seen_by(person, self._lines[way])


def _settle_the_dead(now: datetime.datetime) -> None:
    """Rows whose process has gone: back in the line when nothing was handed over, else unsure."""
    gone = Q(claimed_at__lte=now - LEASE)
    _change(Mailing.objects.filter(gone, state=State.CLAIMED), state=State.WAITING, next_try_at=now)
    _change(
        Mailing.objects.filter(gone, state=State.HANDING_OVER),
        state=State.UNSURE,
        last_error=tell(
            "The program stopped while handing it to the mail server; it may have arrived."
        ),
    )


def _drop(mailings: QuerySet[Mailing]) -> None:
    _change(mailings, state=State.OVERTAKEN)


def _change(mailings: QuerySet[Mailing], **after: object) -> None:
    """Looks first: a minute in which nothing is to be done asks for no lock."""
    if mailings.exists():
        mailings.update(**after)


def _serve(choice: DigestChoice, day: _Day, now: datetime.datetime) -> Outcome | None:
    """At most one mail for one person."""
    mailing = _due(choice, day.today, now)
    if mailing is None or not _claim(mailing, now):
        return None
    last = Mailing.objects.filter(person=choice.person, state=State.SENT).first()
    try:
        digest = digest_of(
            day.lines_for(choice.person),
            left_out=choice.left_out,
            told_before=last.told if last else {},
            last_sent_on=last.day if last else None,
            today=day.today,
        )
        if not digest.is_worth_sending:
            _move(mailing, (State.CLAIMED,), state=State.NOTHING)
            return Outcome(choice.person, State.NOTHING, tell("nothing new to tell"))
        mail = write_mail(digest, choice, day.program, day.today, mailing.message_id)
    except Exception as problem:
        log.exception("The digest for person %s could not be written", choice.person_id)
        return _failed(mailing, choice.person, problem, now)
    return _send(mailing, choice.person, mail, digest, now)


def _due(choice: DigestChoice, today: datetime.date, now: datetime.datetime) -> Mailing | None:
    """The row to be sent now, if any: today's from the chosen hour on, before it an older one."""
    waiting = Mailing.objects.filter(person=choice.person, state=State.WAITING)
    if today < choice.begins_on or timezone.localtime(now).hour < choice.hour:
        return waiting.filter(day__lt=today, next_try_at__lte=now).first()
    mailing, _ = Mailing.objects.get_or_create(
        person=choice.person,
        day=today,
        defaults={"next_try_at": now, "message_id": _message_id(choice.person, today)},
    )
    _drop(waiting.filter(day__lt=today))
    is_due = mailing.state == State.WAITING and mailing.next_try_at <= now
    return mailing if is_due else None


def _message_id(person: Person, day: datetime.date) -> str:
    """One for each person and day, whatever happens on the way."""
    mark = salted_hmac("breeding.agenda.sent.outbox", f"{person.pk}:{day}").hexdigest()[:24]
    domain = settings.MAIL.sender.rpartition("@")[2] if settings.MAIL else "localhost"
    return f"<digest.{day:%Y%m%d}.{mark}@{domain}>"


def _claim(mailing: Mailing, now: datetime.datetime) -> bool:
    """Take the row; False when another process was quicker."""
    with transaction.atomic(durable=True):
        taken = Mailing.objects.filter(pk=mailing.pk, state=State.WAITING).update(
            state=State.CLAIMED, claimed_at=now, attempts=F("attempts") + 1
        )
    mailing.claimed_at = now
    mailing.attempts += 1
    return taken == 1


def _move(mailing: Mailing, before: tuple[str, ...], **after: object) -> bool:
    """A step of the row, on disk before anything else happens; False when it is no longer ours."""
    with transaction.atomic(durable=True):
        ours = Mailing.objects.filter(
            pk=mailing.pk, state__in=before, claimed_at=mailing.claimed_at
        )
        return ours.update(**after) == 1


def _send(
    mailing: Mailing,
    person: Person,
    mail: EmailMultiAlternatives,
    digest: Digest,
    now: datetime.datetime,
) -> Outcome | None:
    connection = get_connection()
    try:
        try:
            connection.open()
            if not _move(mailing, (State.CLAIMED,), state=State.HANDING_OVER):
                return None
            connection.send_messages([mail])
        except Exception as problem:
            if not isinstance(problem, OSError):
                log.exception("The digest for person %s could not be handed over", person.pk)
            return _failed(mailing, person, problem, now)
        _move(
            mailing,
            (State.HANDING_OVER, State.UNSURE),
            state=State.SENT,
            sent_at=now,
            told=digest.told,
            last_error="",
        )
        return Outcome(person, State.SENT, tell("sent to {email}", email=person.email))
    finally:
        _hang_up(connection.close)


def _hang_up(close: Callable[[], None]) -> None:
    """What is said after the mail was taken changes nothing any more."""
    try:
        close()
    except OSError as problem:
        log.info("The mail server did not say goodbye: %s", type(problem).__name__)


def _failed(
    mailing: Mailing, person: Person, problem: Exception, now: datetime.datetime
) -> Outcome:
    words = problem_words(problem, settings.MAIL)
    wait = pause(mailing.attempts)
    _move(
        mailing,
        (State.CLAIMED, State.HANDING_OVER),
        state=State.WAITING,
        next_try_at=now + wait,
        last_error=words,
    )
    minutes = int(wait.total_seconds() // 60)
    return Outcome(
        person,
        State.WAITING,
        tell("{words} Tried again in {minutes} min.", words=words, minutes=minutes),
    )


def write_mail(
    digest: Digest, choice: DigestChoice, program: Program, today: datetime.date, message_id: str
) -> EmailMultiAlternatives:
    """The digest as a mail in text and HTML; links only where the person's address is known."""
    base = choice.server_address.rstrip("/")
    stop = f"{base}{reverse('agenda:stop', args=[stop_token(choice.person)])}" if base else ""
    context = {
        "digest": digest,
        "program": program,
        "person": choice.person,
        "today": today,
        "base": base,
        "stop": stop,
        "parts": [
            (heading, [(one, f"{base}{path_of(one.line)}" if base else "") for one in lines])
            for heading, lines in digest.parts
        ],
    }
    mail = EmailMultiAlternatives(
        subject=digest.subject,
        body=render_to_string("agenda/_digest.txt", context),
        from_email=sender_of(program),
        to=[choice.person.email],
        headers={
            "Message-ID": message_id,
            "Auto-Submitted": "auto-generated",
            **_headers_to_stop(stop),
        },
    )
    mail.attach_alternative(render_to_string("agenda/_digest.html", context), "text/html")
    return mail


def _headers_to_stop(address: str) -> dict[str, str]:
    """The mail program's own button, in one click (RFC 2369 and RFC 8058).

    Strict ones ask for HTTPS, and show no button for an address without it.
    """
    if not address:
        return {}
    return {
        "List-Unsubscribe": f"<{address}>",
        "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
    }


def sender_of(program: Program) -> str:
    """The program's name before the address mail is sent from."""
    name = " ".join(program.name.split())
    return formataddr((name, settings.MAIL.sender if settings.MAIL else "rayward@localhost"))


def send_test_mail(person: Person, program: Program) -> str:
    """Send one mail at once; returns what went wrong in words, empty when it was taken."""
    if settings.MAIL is None:
        return str(settings.MAIL_PROBLEM) or tell("No mail server is set.")
    mail = EmailMultiAlternatives(
        subject=tell("{program}: mail arrives", program=" ".join(program.name.split())),
        body=tell("This is the test you asked for. The morning digest will come the same way.\n"),
        from_email=sender_of(program),
        to=[person.email],
        headers={"Auto-Submitted": "auto-generated"},
    )
    try:
        mail.send()
    except Exception as problem:
        if not isinstance(problem, OSError):
            log.exception("The test mail could not be handed over")
        return problem_words(problem, settings.MAIL)
    return ""
