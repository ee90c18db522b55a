"""What one person's digest says, and whether it is worth sending; asks no database and no clock.

The rule: a digest lists all that stands on the front page in the chosen kinds, and marks what is
new. It is sent when something is new, moved by days, has become pressing or was asked for again;
when something falls on this very day; every day while an animal is to be separated now; and at
least once a week while anything presses. Otherwise there is none: a mail that says the same every
morning is soon not read any more, and then the one that matters is not read either.
"""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from breeding.agenda.kinds.kind import URGENCIES
from breeding.agenda.lines.line import Line, when_words
from breeding.words.days import near_day
from breeding.words.language import message, tell, tell_many

MOVED_DAYS = 3  # an estimate that moves by less is no news
SILENT_DAYS = 7  # what presses is said again after this time
HEADINGS = {
    "now": message("Now"),
    "soon": message("Soon"),
    "later": message("When you decide"),
}

Told = dict[str, dict[str, str]]


@dataclass(frozen=True)
class DigestLine:
    """A line of the day as the digest tells it. news: what is new about it; empty when nothing."""

    line: Line
    when: str
    news: str = ""
    path: str = ""


@dataclass(frozen=True)
class Digest:
    """The lines in the day's order, what is remembered of them, and whether to send it."""

    lines: tuple[DigestLine, ...]
    told: Told
    is_worth_sending: bool

    @property
    def parts(self) -> list[tuple[str, list[DigestLine]]]:
        """The lines under their headings; a heading without lines is left out."""
        parts = [
            (tell(HEADINGS[urgency]), [one for one in self.lines if one.line.urgency == urgency])
            for urgency in URGENCIES
        ]
        return [(heading, lines) for heading, lines in parts if lines]

    @property
    def subject(self) -> str:
        """The first thing, and how many more: it is read on a locked phone."""
        if not self.lines:
            return tell("Nothing asks for you today")
        first, more = self.lines[0].line, len(self.lines) - 1
        said = " ".join(f"{first.who}: {first.what}".split())
        return tell("{line}, and {number} more", line=said, number=more) if more else said

    @property
    def lede(self) -> str:
        """How much there is, and how much of it is new."""
        now = sum(1 for one in self.lines if one.line.urgency == "now")
        fresh = sum(1 for one in self.lines if one.news)
        said = {"things": things(len(self.lines)), "now": now, "fresh": fresh}
        if now and fresh:
            return tell("{things}, {now} of them pressing; {fresh} new or changed.", **said)
        if now:
            return tell("{things}, {now} of them pressing; nothing new.", **said)
        if fresh:
            return tell("{things}, none of them pressing; {fresh} new or changed.", **said)
        return tell("{things}, none of them pressing; nothing new.", **said)


def things(number: int) -> str:
    """So many things to do."""
    return tell_many("{number} thing", "{number} things", number)


def digest_of(
    lines: Iterable[Line],
    *,
    left_out: Sequence[str],
    told_before: Mapping[str, Mapping[str, str]],
    last_sent_on: datetime.date | None,
    today: datetime.date,
) -> Digest:
    """The digest of a day. told_before: what the last digest that was sent remembered."""
    found, told = [], {}
    for line in lines:
        if line.kind.group in left_out:
            continue
        before = told_before.get(line.key)
        news = _news(line, before, today)
        found.append(DigestLine(line, when_words(line, today), news))
        told[line.key] = _remembered(line, None if news else before)
    silent = last_sent_on is None or (today - last_sent_on).days >= SILENT_DAYS
    worth = any(
        one.news or _is_due(one.line, today) or (silent and one.line.urgency == "now")
        for one in found
    )
    return Digest(tuple(found), told, worth)


def _is_due(line: Line, today: datetime.date) -> bool:
    return line.kind.is_told_daily or (line.on == today and not line.moves_daily)


def _news(line: Line, before: Mapping[str, str] | None, today: datetime.date) -> str:
    if before is None:
        return tell("new")
    asked_again = line.asked_again_on.isoformat() if line.asked_again_on else ""
    if asked_again and asked_again != before["asked_again_on"]:
        return tell("asked again, as you wanted")
    if URGENCIES.index(line.urgency) < URGENCIES.index(before["urgency"]):
        return tell("more pressing now")
    was = datetime.date.fromisoformat(before["on"])
    if not line.moves_daily and abs((line.on - was).days) >= MOVED_DAYS:
        return tell("moved, it was {day}", day=near_day(was, today))
    return ""


def _remembered(line: Line, before: Mapping[str, str] | None) -> dict[str, str]:
    """The day that was last told as news stays: many small moves together are a move."""
    return {
        "urgency": line.urgency,
        "on": before["on"] if before else line.on.isoformat(),
        "asked_again_on": line.asked_again_on.isoformat() if line.asked_again_on else "",
    }
