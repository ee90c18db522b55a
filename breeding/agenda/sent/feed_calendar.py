"""Writes events as an iCalendar object (RFC 5545; refresh hints of RFC 7986); no Django."""

import datetime
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Event, Timezone, vText

from breeding.agenda.kinds.kind import DAY, Kind

PRODUCT = "-//Rayward//Breeding calendar//EN"
REFRESH = datetime.timedelta(hours=4)


@dataclass(frozen=True)
class CalendarEntry:
    """One all-day event as it is told.

    starts_on, ends_on: first and last day, both counted. sequence: how often its days or its
    standing changed. last_modified: aware. uid: for ever the same for the same event.
    """

    uid: str
    kind: Kind
    starts_on: datetime.date
    ends_on: datetime.date
    summary: str
    words: str
    sequence: int
    last_modified: datetime.datetime
    url: str = ""
    is_cancelled: bool = False


def write_calendar(
    entries: Sequence[CalendarEntry], *, name: str, zone: ZoneInfo, today: datetime.date
) -> bytes:
    """The feed as UTF-8 text with lines folded at 75 octets; the same entries give the same bytes.

    RFC 5545 wants at least one component: where there is no event, the time zone stands alone.
    Without METHOD, DTSTAMP says when the event was last changed (RFC 5545, 3.8.7.2).

    >>> from breeding.agenda.kinds.table import KINDS
    >>> day = datetime.date(2026, 3, 3)
    >>> told = CalendarEntry("due@x", KINDS["due_window"], day, day, "Mira: due", "", 0,
    ...                      datetime.datetime(2026, 3, 1, tzinfo=datetime.UTC))
    >>> text = write_calendar([told], name="Rays", zone=ZoneInfo("UTC"), today=day).decode()
    >>> "DTSTART;VALUE=DATE:20260303" in text, "DTEND;VALUE=DATE:20260304" in text
    (True, True)
    """
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", _printable(name))
    calendar.add("x-wr-calname", _printable(name))
    calendar.add("x-wr-timezone", zone.key)
    calendar.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})
    calendar.add("x-published-ttl", _duration(REFRESH))
    for entry in entries:
        calendar.add_component(_event(entry))
    if not entries:
        year = datetime.date(today.year, 1, 1)
        calendar.add_component(
            Timezone.from_tzinfo(
                zone, first_date=year, last_date=datetime.date(today.year + 1, 1, 1)
            )
        )
    written: bytes = calendar.to_ical()
    return written


def _event(entry: CalendarEntry) -> Event:
    event = Event()
    event.add("uid", entry.uid)
    event.add("dtstamp", entry.last_modified)
    event.add("last-modified", entry.last_modified)
    event.add("sequence", entry.sequence)
    event.add("dtstart", entry.starts_on)
    event.add("dtend", entry.ends_on + DAY)  # the end of an all-day event is not counted
    event.add("summary", _printable(entry.summary))
    event.add("description", _printable(entry.words))
    event.add("status", "CANCELLED" if entry.is_cancelled else "CONFIRMED")
    event.add("transp", "TRANSPARENT")  # it takes nobody's time away
    event.add("categories", [entry.kind.category])
    if entry.url:
        event.add("url", entry.url)
    if not entry.is_cancelled:
        for alarm in _alarms(entry):
            event.add_component(alarm)
    return event


def _alarms(entry: CalendarEntry) -> Iterable[Alarm]:
    for before in entry.kind.alarms:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", _printable(entry.summary))
        alarm.add("trigger", before)
        yield alarm


_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


class _Text(vText):
    """A text as RFC 5545 escapes it; the library takes a backslash before an N for a line break."""

    def to_ical(self) -> bytes:
        escaped = str(self).replace("\\", "\\\\").replace(";", r"\;").replace(",", r"\,")
        return escaped.replace("\n", r"\n").encode()


def _printable(text: str) -> _Text:
    """Without the control characters that RFC 5545 leaves out of a text; line breaks stay."""
    return _Text(_CONTROL.sub("", text.replace("\r\n", "\n").replace("\r", "\n")))


def _duration(span: datetime.timedelta) -> str:
    return f"PT{span // datetime.timedelta(hours=1)}H"
