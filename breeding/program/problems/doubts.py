"""What is asked once before it is kept: values that hardly follow from what is on record.

An act gathers its doubts and hands them to `ask` with what the keeper has answered; services take
that as `sure: Collection[str] = frozenset()`, and a view gives them `sure_in(request.POST)`.
`beside.py` shows an unanswered doubt in the form, with one box to tick. A doubt is known by its
sentence, so a value that was changed after the tick is asked about anew.
"""

import json
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from typing import Any

from django.core.exceptions import ValidationError
from django.template.loader import render_to_string

from breeding.program.reference.fixture_files import fixture_path
from breeding.words.language import sentences, tell

SURE = "sure"  # the name of the box
SHOWN_AT_ONCE = 12  # the rest is folded up below; all of it is answered together
REASON = "sure_reason"  # and of the line for a reason
MOST_REASON = 400
_MARK_LENGTH = 12


@dataclass(frozen=True)
class Doubt:
    """One sentence that names the value and what it stands against; `field` is where it is.

    needs_reason: the answer is a reason in words, not a tick alone. is_only_said: nothing is asked,
    the receipt says it. `address` leads to what it stands against, by the words of `way`.
    """

    sentence: str
    field: str = ""
    needs_reason: bool = False
    is_only_said: bool = False
    address: str = ""
    way: str = ""

    @property
    def mark(self) -> str:
        """By which the answer names this doubt and no other."""
        return sha256(self.sentence.encode()).hexdigest()[:_MARK_LENGTH]


class DoubtError(ValidationError):
    """Nothing was written: these doubts are to be answered first."""

    def __init__(self, doubts: Iterable[Doubt]) -> None:
        self.doubts = tuple(doubts)
        super().__init__([one.sentence for one in self.doubts])


def ask(doubts: Iterable[Doubt], sure: Collection[str], reason: str = "") -> None:
    """Raise DoubtError unless every doubt is among those that are answered, by their marks.

    One that needs a reason is answered with one.
    """
    found = [one for one in doubts if not one.is_only_said]
    lacks_reason = not reason.strip() and any(one.needs_reason for one in found)
    if lacks_reason or any(one.mark not in sure for one in found):
        raise DoubtError(found)


@contextmanager
def asked_with(doubts: Iterable[Doubt]) -> Iterator[None]:
    """What an act inside is in doubt of is asked together with these, not one after the other."""
    try:
        yield
    except DoubtError as more:
        asked = [one for one in doubts if not one.is_only_said]
        raise DoubtError({one.mark: one for one in (*asked, *more.doubts)}.values()) from None


@dataclass
class Answers:
    """What a form answers to whatever is asked; `said` is what was asked, once it is answered."""

    sure: Collection[str] = frozenset()
    reason: str = ""
    said: str = ""

    def ask(self, doubts: Iterable[Doubt]) -> None:
        """Raises DoubtError until all of these are answered."""
        found = tuple(doubts)
        ask(found, self.sure, self.reason)
        self.said = sentences(*{one.sentence: None for one in found})


def answers_in(sent: Mapping[str, Any]) -> Answers:
    """As the form was sent."""
    return Answers(sure_in(sent), reason_in(sent))


def sure_in(sent: Mapping[str, Any]) -> frozenset[str]:
    """The marks of the doubts that a form answers, as it was sent."""
    given = sent.getlist(SURE) if hasattr(sent, "getlist") else [sent.get(SURE, "")]
    return frozenset(" ".join(given).split())


def reason_in(sent: Mapping[str, Any]) -> str:
    """Why it is right all the same, as it was typed beside the box; one too long is none yet."""
    typed = _typed_reason(sent)
    return typed if len(typed) <= MOST_REASON else ""


def _typed_reason(sent: Mapping[str, Any]) -> str:
    return str(sent.get(REASON, "")).strip()


def too_long(reason: str, field: str) -> str:
    """What a page says of a reason that is longer than one is kept; else "".

    >>> too_long("brought in one line", "Why"), too_long("a" * 401, "Why")
    ('', '“Why” has 401 characters; allowed are at most 400 characters.')
    """
    if len(reason) <= MOST_REASON:
        return ""
    return tell(
        "“{field}” has {length} characters; allowed are at most {limit} characters.",
        field=field,
        length=len(reason),
        limit=MOST_REASON,
    )


def question(doubtful: DoubtError, sent: Mapping[str, Any]) -> ValidationError:
    """The doubts with the box to tick, for the top of a form; earlier answers are kept in it."""
    marks = {one.mark for one in doubtful.doubts} | sure_in(sent)
    context = {
        "doubts": doubtful.doubts[:SHOWN_AT_ONCE],
        "further": doubtful.doubts[SHOWN_AT_ONCE:],
        "name": SURE,
        "marks": " ".join(sorted(marks)),
        "needs_reason": any(one.needs_reason for one in doubtful.doubts),
        "is_answered": all(one.mark in sure_in(sent) for one in doubtful.doubts),
        "reason_name": REASON,
        "reason": _typed_reason(sent),
        "too_long": too_long(_typed_reason(sent), tell("Why all the same?")),
    }
    return ValidationError(render_to_string("program/_doubts.html", context), code=SURE)


def threshold(name: str) -> float:
    """A figure of fixtures/doubts.json.

    >>> threshold("growth_most_mm_a_day")
    2.0
    """
    return float(thresholds()[name]["value"])


@cache
def thresholds() -> Mapping[str, Mapping[str, Any]]:
    """Every figure by its name, with its certainty and source."""
    rows = json.loads(fixture_path("doubts.json").read_text("utf-8"))["thresholds"]
    return {row["name"]: row for row in rows}
