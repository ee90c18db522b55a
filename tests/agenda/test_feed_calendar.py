"""The calendar as text: valid by RFC 5545, read back by a parser that shares nothing with it."""

import datetime
from zoneinfo import ZoneInfo

import pytest
import vobject
from hypothesis import example, given, settings
from hypothesis import strategies as st

from breeding.agenda.kinds.table import KINDS
from breeding.agenda.sent.feed_calendar import CalendarEntry, write_calendar
from tests.tries import tries

DAY = datetime.date(2026, 3, 3)
LONDON = ZoneInfo("Europe/London")
TOLD = datetime.datetime(2026, 3, 1, 7, 30, tzinfo=datetime.UTC)


def entry(**changes):
    facts = {
        "uid": "0b1c@rayward",
        "kind": KINDS["due_window"],
        "starts_on": DAY,
        "ends_on": DAY + datetime.timedelta(days=4),
        "summary": "Mira: due",
        "words": "Mating seen.",
        "sequence": 2,
        "last_modified": TOLD,
    }
    return CalendarEntry(**(facts | changes))


def written(*entries, name="Lantern Street Rays"):
    return write_calendar(entries, name=name, zone=LONDON, today=DAY)


def read(*entries, **more):
    return vobject.readOne(written(*entries, **more).decode())


def lines(*entries, **more):
    return written(*entries, **more).decode().replace("\r\n ", "").split("\r\n")


def test_a_span_ends_on_the_day_after_its_last_day():
    """RFC 5545, 3.6.1: DTEND is not part of the event."""
    event = read(entry()).vevent
    assert event.dtstart.value == datetime.date(2026, 3, 3)
    assert event.dtend.value == datetime.date(2026, 3, 8)
    assert "DTSTART;VALUE=DATE:20260303" in lines(entry())
    assert "DTEND;VALUE=DATE:20260308" in lines(entry())


def test_one_day_is_one_day():
    event = read(entry(ends_on=DAY)).vevent
    assert event.dtend.value - event.dtstart.value == datetime.timedelta(days=1)


def test_a_change_is_told_as_a_change_of_the_same_event():
    event = read(entry()).vevent
    assert event.uid.value == "0b1c@rayward"
    assert event.sequence.value == "2"
    assert event.last_modified.value == TOLD
    assert event.dtstamp.value == TOLD
    assert event.status.value == "CONFIRMED"


def test_an_event_that_has_fallen_is_cancelled_and_rings_no_more():
    event = read(entry(kind=KINDS["separate_by"], is_cancelled=True)).vevent
    assert event.status.value == "CANCELLED"
    assert "valarm" not in event.contents


def test_how_often_to_ask_is_said_both_ways():
    said = lines(entry())
    assert "REFRESH-INTERVAL;VALUE=DURATION:PT4H" in said
    assert "X-PUBLISHED-TTL:PT4H" in said
    assert "VERSION:2.0" in said
    assert "METHOD:PUBLISH" not in said  # DTSTAMP then says when the event was last changed


def test_the_last_days_for_separating_ring_three_days_before_and_in_the_morning():
    """Midnight of the day less 63 hours is 9 o'clock three days before; own arithmetic."""
    alarms = read(entry(kind=KINDS["separate_by"])).vevent.valarm_list
    midnight = datetime.datetime.combine(DAY, datetime.time())
    assert [midnight + one.trigger.value for one in alarms] == [
        datetime.datetime(2026, 2, 28, 9),
        datetime.datetime(2026, 3, 3, 8),
    ]
    assert {one.action.value for one in alarms} == {"DISPLAY"}
    assert {one.description.value for one in alarms} == {"Mira: due"}


def test_every_alarm_rings_between_eight_and_nine_in_the_morning():
    midnight = datetime.datetime.combine(DAY, datetime.time())
    hours = {(midnight + one).time().hour for kind in KINDS.values() for one in kind.alarms}
    assert hours == {8, 9}


def test_a_calendar_without_events_still_holds_a_component():
    """RFC 5545, 3.6: a calendar object has at least one."""
    said = lines()
    assert "BEGIN:VTIMEZONE" in said
    assert "TZID:Europe/London" in said
    assert "BEGIN:VEVENT" not in said
    assert read().vtimezone


@pytest.mark.parametrize(
    "name",
    [
        "Mira, the second; of \\ three",
        "Two\nlines",
        "Carriage\rreturn",
        "Both\r\nof them",
        "Ray 🐟🩵 of the north " * 12,
        'Quote " colon : semicolon ;',
        "BEGIN:VEVENT",
        "Złota\u200bMięta",
        "",
    ],
)
def test_a_name_comes_back_as_it_was_written(name):
    calendar = read(entry(summary=name, words=name), name=name)
    event = calendar.vevent
    wanted = name.replace("\r\n", "\n").replace("\r", "\n")
    assert event.summary.value == wanted
    assert event.description.value == wanted
    escaped = wanted
    for letter, written_as in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        escaped = escaped.replace(letter, written_as)
    said = lines(entry(), name=name)
    assert f"NAME:{escaped}" in said
    assert f"X-WR-CALNAME:{escaped}" in said


def test_control_characters_are_left_out():
    assert read(entry(summary="a\x00b\x1bc\x7fd")).vevent.summary.value == "abcd"


@settings(max_examples=tries(60), deadline=None)
@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=300))
@example("a\\N, b; c\\\\nd\ne")
def test_any_text_comes_back_and_no_line_is_longer_than_75_octets(text):
    raw = written(entry(summary=text, words=text))
    assert all(len(line) <= 75 for line in raw.split(b"\r\n"))
    for line in raw.split(b"\r\n"):
        line.decode()  # no letter is cut in two
    event = vobject.readOne(raw.decode()).vevent
    assert event.summary.value == text
    assert event.description.value == text


def test_the_same_events_give_the_same_bytes():
    assert written(entry(), entry(uid="x@y")) == written(entry(), entry(uid="x@y"))
