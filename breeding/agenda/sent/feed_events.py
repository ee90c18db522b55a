"""Keeps what the calendar has told, so that a moved estimate is told as the same event, moved.

What is told: every event that stands, and for 30 days each that fell, as cancelled. What is kept:
for a year one that fell, so that it returns as the same event with a higher SEQUENCE; after that it
is forgotten, and if it ever returned it would be a new one. So neither the calendar nor the table
grows with the years of the program, and nothing but what stands or is wanted is read or locked.
"""

import datetime
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from breeding.agenda.kinds.table import kind_of
from breeding.agenda.lines.line import Line
from breeding.agenda.models import FeedEvent

if TYPE_CHECKING:
    from breeding.agenda.sent.feed_calendar import CalendarEntry

CANCELLED_FOR = datetime.timedelta(days=30)
KEPT_FOR = datetime.timedelta(days=365)
SUMMARY_LENGTH = 300
# A line that is late reaches so far ahead of today while it stands: calendars ask once a day or so.
LATE_AHEAD = datetime.timedelta(days=3)
LEAST_AHEAD = datetime.timedelta(days=1)


def publish(
    lines: Sequence[Line],
    *,
    now: datetime.datetime,
    address: Callable[[Line], str],
) -> list[FeedEvent]:
    """Bring the events that were told up to what stands now; returns those to tell, in order.

    Called whenever a calendar asks: what it reads is then never older than the asking, and
    nothing else has to remember to do it. It writes only when something has changed, so asking
    twice is asking once. What is late and still stands on the day reaches from its day past
    today, so that it never falls out of sight in the past. SEQUENCE rises when an event's days
    move or when it falls or returns; a change of words alone is a new LAST-MODIFIED.
    """
    wanted = _wanted(lines, address, timezone.localtime(now).date())
    known = {one.series: one for one in FeedEvent.objects.filter(series__in=wanted)}
    gone = FeedEvent.objects.filter(cancelled_at__isnull=True).exclude(series__in=wanted)
    if _differs(wanted, known) or gone.exists():
        with transaction.atomic():
            _write(wanted, now)
    stands, still_told = Q(cancelled_at__isnull=True), Q(cancelled_at__gt=now - CANCELLED_FOR)
    return list(FeedEvent.objects.filter(stands | still_told))


def told_anew(events: Sequence[FeedEvent], lines: Sequence[Line]) -> list[FeedEvent]:
    """The events in the words of these lines, which say the same in another language.

    What fell stays in the words in which it was kept.
    """
    said = {line.series: line for line in lines}
    for event in events:
        if (line := said.get(event.series)) is not None:
            event.summary, event.words = _text_of(line)
    return list(events)


def _text_of(line: Line) -> tuple[str, str]:
    words = "\n\n".join(part for part in (line.why, line.doubt) if part)
    return summary_of(line)[:SUMMARY_LENGTH], words


def entry_of(event: FeedEvent, base: str) -> "CalendarEntry":
    """The event as the calendar writes it; `base` is the address this program was asked at."""
    from breeding.agenda.sent.feed_calendar import CalendarEntry  # not loaded where nobody reads it

    return CalendarEntry(
        uid=f"{event.uid}@rayward",
        kind=kind_of(event.kind),
        starts_on=event.starts_on,
        ends_on=event.ends_on,
        summary=event.summary,
        words=event.words,
        sequence=event.sequence,
        last_modified=event.last_modified,
        url=f"{base.rstrip('/')}{event.path}" if event.path else "",
        is_cancelled=event.cancelled_at is not None,
    )


class _Wanted:
    """An event as it ought to stand."""

    def __init__(self, line: Line, path: str, today: datetime.date) -> None:
        self.today = today
        self.stands_until_done = line.until is None and line.urgency != "later"
        self.kind = line.kind.key
        self.starts_on = line.on
        self.ends_on = max(line.until or line.on, line.on)
        self.moves_daily = line.moves_daily
        self.summary, self.words = _text_of(line)
        self.path = path

    def days(self, known: FeedEvent) -> tuple[datetime.date, datetime.date]:
        """A line that always stands for today keeps the day on which it first stood."""
        first, last = self.starts_on, self.ends_on
        if self.moves_daily and known.cancelled_at is None:
            first, last = known.starts_on, known.ends_on
        return first, self._reaching(first, last, known)

    def _reaching(
        self, first: datetime.date, last: datetime.date, known: FeedEvent | None
    ) -> datetime.date:
        """Its last day: past today while it is late, and not moved again every single day."""
        if not self.stands_until_done or first >= self.today:
            return last
        if known is not None and known.cancelled_at is None:
            ahead = known.ends_on - self.today
            if known.starts_on == first and LEAST_AHEAD <= ahead <= LATE_AHEAD:
                return known.ends_on
        return max(last, self.today + LATE_AHEAD)

    @property
    def new_days(self) -> tuple[datetime.date, datetime.date]:
        """Of an event that was never told."""
        return self.starts_on, self._reaching(self.starts_on, self.ends_on, None)

    def text(self) -> tuple[str, str, str]:
        return self.summary, self.words, self.path


def summary_of(line: Line) -> str:
    """What stands in the calendar's square."""
    return f"{line.who}: {line.outdoors}"


def _wanted(
    lines: Sequence[Line], address: Callable[[Line], str], today: datetime.date
) -> dict[str, _Wanted]:
    return {line.series: _Wanted(line, address(line), today) for line in lines}


def _differs(wanted: dict[str, _Wanted], known: dict[str, FeedEvent]) -> bool:
    return any(
        series not in known or _change(known[series], one) != (False, False)
        for series, one in wanted.items()
    )


def _change(event: FeedEvent, wanted: _Wanted) -> tuple[bool, bool]:
    """Whether days or standing change, and whether the words do."""
    moved = wanted.days(event) != (event.starts_on, event.ends_on)
    returned = event.cancelled_at is not None
    return moved or returned, wanted.text() != (event.summary, event.words, event.path)


def _write(wanted: dict[str, _Wanted], now: datetime.datetime) -> None:
    """Under a lock on the events in question, so that two calendars asking at once count one
    change once. Always in the same order, so that neither waits for the other without end."""
    in_question = FeedEvent.objects.filter(Q(series__in=wanted) | Q(cancelled_at__isnull=True))
    known = {one.series: one for one in in_question.order_by("pk").select_for_update()}
    for series, one in wanted.items():
        event = known.get(series)
        if event is None:
            starts_on, ends_on = one.new_days
            event, made = FeedEvent.objects.get_or_create(
                series=series,
                defaults={
                    "kind": one.kind,
                    "starts_on": starts_on,
                    "ends_on": ends_on,
                    "summary": one.summary,
                    "words": one.words,
                    "path": one.path,
                    "last_modified": now,
                },
            )
            if made:
                continue
        moved, reworded = _change(event, one)
        if moved or reworded:
            event.starts_on, event.ends_on = one.days(event)
            event.summary, event.words, event.path = one.text()
            event.sequence += moved
            event.cancelled_at = None
            event.last_modified = now
            event.save()
    for series, event in known.items():
        if series not in wanted and event.cancelled_at is None:
            event.cancelled_at = event.last_modified = now
            event.sequence += 1
            event.save()
    FeedEvent.objects.filter(cancelled_at__lt=now - KEPT_FOR).delete()
