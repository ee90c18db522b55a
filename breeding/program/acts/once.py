"""Twice is once: each form that writes carries a token, and what it led to is kept under it."""

import re
import secrets
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeVar

from auditlog.cid import correlation_id
from django.contrib import messages
from django.core import signing
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from breeding.program import clock
from breeding.program.acts.alone import one_at_a_time
from breeding.program.language.chosen import in_each_language
from breeding.program.models import Act, Person
from breeding.program.problems.constraints import refusal
from breeding.words.language import sentences, tell

FIELD = "once"
LOOKS, PAUSE_SECONDS = 15, 0.2  # the first sending may be at its answer just now
MOST_SAID = 600  # what the column holds
_SALT = "once"
_OWN = re.compile("[0-9a-f]{16}")
Done = TypeVar("Done")


class SentBeforeError(Exception):
    """This form was sent before and is written; the answer is the receipt of the first."""

    def __init__(self, first: Act) -> None:
        self.first = first
        super().__init__(str(first))


def new_token(person: Person) -> str:
    """A token that only this server can have given, for one form of one person."""
    return signing.Signer(salt=_SALT).sign(f"{person.pk}.{secrets.token_hex(8)}")


def token_of(key: str) -> str:
    """The token that stands for a key."""
    return signing.Signer(salt=_SALT).sign(key)


def key_in(token: str) -> str:
    """The key a token stands for; empty for one that this server never gave.

    A page that lies on a device is opened and sent more than once while there is no network: each
    time it adds `~` and sixteen hexadecimal digits of its own, which make a key of their own.
    """
    given, tilde, own = token.partition("~")
    if tilde and not _OWN.fullmatch(own):
        return ""
    try:
        key = signing.Signer(salt=_SALT).unsign(given)
    except signing.BadSignature:
        return ""
    return f"{key}.{own}" if own else key


def person_in(token: str) -> int | None:
    """The number of the person a token was given to; None for one that this server never gave."""
    number = key_in(token).partition(".")[0]
    return int(number) if number else None


def first_of(request: HttpRequest) -> Act | None:
    """What the form in this request led to when it was sent before."""
    key = key_in(request.POST.get(FIELD, ""))
    return Act.objects.filter(key=key).first() if key else None


def act_once(request: HttpRequest, act: Callable[[], Done], *, undoes: Act | None = None) -> Done:
    """The act and the spending of the form's token, both or neither.

    Acts come one after the other, whoever writes them. Of two requests with one token the second
    raises SentBeforeError. What the act refuses, or a rule of the database, is a ValidationError
    and leaves the token unspent. A form without a token is taken every time. `undoes` is the
    earlier act that this one undoes, which can be done once.
    """
    key = key_in(request.POST.get(FIELD, "")) or f"0.{secrets.token_hex(8)}"
    try:
        with transaction.atomic():
            one_at_a_time()
            row = _claim(request, key, undoes)
            with belonging_to(row):
                done = act()
    except _ClaimedError:
        raise SentBeforeError(Act.objects.get(key=key)) from None
    except IntegrityError as error:  # at its end too: some rules are asked only then
        raise refusal(error) from None
    request.act = row  # type: ignore[attr-defined]
    return done


class _ClaimedError(Exception):
    """Somebody else was quicker with this token."""


def _claim(request: HttpRequest, key: str, undoes: Act | None) -> Act:
    person = request.user if request.user.is_authenticated else None
    if undoes and Act.objects.select_for_update().filter(undoes=undoes).exists():
        raise ValidationError(tell("This has been undone already."))
    try:
        with transaction.atomic():
            return Act.objects.create(
                key=key,
                person=person,
                at=clock.arrived_at(),
                door=request.path[:300],
                undoes=undoes,
            )
    except IntegrityError:
        if Act.objects.filter(key=key).exists():
            raise _ClaimedError from None
        if undoes:
            raise ValidationError(tell("This has been undone already.")) from None
        raise


@contextmanager
def belonging_to(act: Act) -> Iterator[None]:
    """Every change written inside carries the key of the act in the history."""
    before = correlation_id.set(act.key)
    try:
        yield
    finally:
        correlation_id.reset(before)


def current_key() -> str:
    """The key of the act that is being written, to find it again later; empty outside of one."""
    return correlation_id.get() or ""


def say(request: HttpRequest, *words: str) -> None:
    """What was written, in sentences: on the receipt of the act, with the way to undo it.

    What was told within this request is kept in every language that the program speaks.
    """
    act: Act | None = getattr(request, "act", None)
    whole = sentences(*words)
    if act is None:
        messages.success(request, whole)
        return
    act.said = _with_more(act.said, whole)
    for code, words_in in in_each_language(whole).items():
        act.said_in[code] = _with_more(act.said_in.get(code, ""), words_in)


def _with_more(said: str, words: str) -> str:
    return _whole_sentences(f"{said} {words}".strip())


def _whole_sentences(words: str) -> str:
    """As many sentences as a receipt holds; what is left out stands on the pages themselves."""
    if len(words) <= MOST_SAID:
        return words
    more = f" {tell('And more.')}"
    kept = words[: MOST_SAID - len(more)]
    end = kept.rfind(". ")
    return f"{kept[: end + 1]}{more}" if end > 0 else f"{words[: MOST_SAID - 1]}…"


def answer_again(request: HttpRequest, first: Act) -> HttpResponse:
    """The receipt of the first sending, for the second."""
    first = _with_its_words(first)
    words = tell("It was sent before, and is written only once.")
    if first.said:
        words = tell("It was sent before, and is written only once: {said}", said=first.words)
    messages.info(request, words)
    return redirect(first.leads_to or first.door)


def _with_its_words(act: Act) -> Act:
    """The act once its view has said where it leads, or as it is when that view is no more."""
    for _ in range(LOOKS):
        if act.leads_to:
            break
        time.sleep(PAUSE_SECONDS)
        act.refresh_from_db()
    return act
