"""The calendar of a program: what stands in it, how it changes, and to whom it answers."""

import datetime
from itertools import pairwise

import pytest
import time_machine
import vobject
from django.db import connection
from django.db.models.signals import post_init
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from breeding.agenda import services
from breeding.agenda.models import Feed, FeedEvent
from breeding.agenda.queries import all_ahead
from breeding.agenda.services import answer_line, open_feed
from breeding.buyers.models import Contact, Reservation
from breeding.pairings.season.reading import season_of
from breeding.program import clock
from breeding.program.queries import the_program
from tests import cast
from tests.agenda.season import ahead, birth, mated
from tests.cast import ago, pair, see

pytestmark = pytest.mark.django_db


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb", pure="motoro")


@pytest.fixture
def address(keeper):
    return address_of(open_feed(keeper, now=clock.now()))


def address_of(token):
    return reverse("agenda:feed", args=[token])


def ask(address, **headers):
    return Client().get(address, headers=headers)


def events(address):
    """The events by what they say first, as an independent parser reads them."""
    answer = ask(address)
    assert answer.status_code == 200
    calendar = vobject.readOne(answer.content.decode())
    return {one.summary.value: one for one in calendar.contents.get("vevent", [])}


def event(address, words):
    (found,) = [one for summary, one in events(address).items() if words in summary]
    return found


def state(found):
    return found.dtstart.value, found.dtend.value, int(found.sequence.value), found.status.value


# ------------------------------------------------------------------------------ what stands in it


def test_the_calendar_tells_the_window_the_nursery_and_the_watch(address, mira, deneb):
    mated(mira, deneb, 40)
    with timezone.override(the_program().zone):  # as for a request: it says on which day it was
        due = season_of(mira, the_program(), asof=clock.today()).estimate.announced
    found = events(address)
    assert len(found) == 4  # and the day from which a scan could tell
    window = event(address, "Mira: due")
    assert window.dtstart.value == due.p05
    assert window.dtend.value == due.p95 + datetime.timedelta(days=1)
    assert event(address, "make a nursery ready").dtstart.value == due.p05 - datetime.timedelta(7)
    assert event(address, "watch daily").dtstart.value == due.p05


def test_the_last_day_to_separate_stands_far_ahead_for_one_who_is_not_bred_yet(
    address, mira, deneb
):
    """Two months of company and nothing seen: a chance of two in three, planned for."""
    pair(mira, deneb, 65)
    reading = season_of(mira, the_program(), asof=clock.today())
    opens = reading.estimate.announced.p05
    found = event(address, "separate from Deneb at the latest")
    assert found.dtstart.value == opens - datetime.timedelta(days=14)
    assert [one.trigger.value for one in found.valarm_list] == [
        datetime.timedelta(hours=-63),
        datetime.timedelta(hours=8),
    ]


def test_every_event_of_a_season_says_why_and_how_sure(address, mira, deneb):
    mated(mira, deneb, 40)
    for found in events(address).values():
        said = found.description.value
        assert "Chance that she is pregnant: " in said
        assert "(9 times in 10), middle date " in said
    assert "ating seen with Deneb" in event(address, "Mira: due").description.value
    assert "Due " in event(address, "nursery").description.value


def test_the_calendar_agrees_with_the_front_page(address, mira, deneb):
    mated(mira, deneb, 90)
    told = {(one.dtstart.value, summary) for summary, one in events(address).items()}
    with timezone.override(the_program().zone):
        lines = all_ahead(the_program(), today=clock.today())
    assert told == {(one.on, f"{one.who}: {one.what}") for one in lines}
    assert any(one.kind.key == "nursery_by" for one in lines)


def test_a_reservation_stands_on_its_last_day_without_the_buyers_name(address, mira):
    ida = Contact.objects.create(name="Ida")
    Reservation.objects.create(animal=mira, contact=ida, reserved_on=ago(1), until=ahead(60))
    found = event(address, "Mira: reservation ends")
    assert found.dtstart.value == ahead(60)
    assert b"Ida" not in ask(address).content


def test_an_event_leads_to_its_page(address, mira, deneb):
    mated(mira, deneb, 40)
    path = reverse("pairings:female", args=[mira.pk])
    assert event(address, "Mira: due").url.value == f"http://testserver{path}"


def test_names_with_commas_semicolons_and_pictures_come_through(address, owner, deneb):
    mated(cast.female("Mira; the 2nd, 🐟", pure="motoro"), deneb, 40)
    assert all(summary.startswith("Mira; the 2nd, 🐟: ") for summary in events(address))


# ----------------------------------------------------------------------------------- how it changes


def test_asking_twice_changes_nothing_and_writes_nothing(address, mira, deneb):
    mated(mira, deneb, 40)
    first = ask(address).content
    before = list(FeedEvent.objects.values())
    with CaptureQueriesContext(connection) as asked:
        assert ask(address).content == first
    assert [one["sql"] for one in asked if not one["sql"].startswith("SELECT")] == []
    assert list(FeedEvent.objects.values()) == before


def test_the_sequence_rises_when_the_days_move(address, mira, deneb):
    """Sixty days of company leave the mating open; one that was seen narrows the window."""
    pair(mira, deneb, 100, 40)
    before = event(address, "Mira: due")
    see(mira, 60)
    after = event(address, "Mira: due")
    assert after.uid.value == before.uid.value
    assert after.dtend.value - after.dtstart.value < before.dtend.value - before.dtstart.value
    assert (before.sequence.value, after.sequence.value) == ("0", "1")
    assert after.last_modified.value >= before.last_modified.value


def test_words_alone_are_a_new_modification_and_no_new_sequence(address, mira, deneb):
    """As days pass without a birth the chance falls, and the announced window stays."""
    with time_machine.travel(datetime.datetime(2026, 3, 3, 12, tzinfo=datetime.UTC), tick=False):
        mated(mira, deneb, 40)
        before = event(address, "Mira: due")
    with time_machine.travel(datetime.datetime(2026, 5, 12, 12, tzinfo=datetime.UTC), tick=False):
        after = event(address, "Mira: due")
    assert state(after) == state(before)
    assert after.description.value != before.description.value
    assert after.last_modified.value > before.last_modified.value
    assert after.dtstamp.value == after.last_modified.value


def test_a_line_that_always_stands_for_today_keeps_its_first_day(address, mira, deneb):
    with time_machine.travel(datetime.datetime(2026, 3, 3, 12, tzinfo=datetime.UTC), tick=False):
        mated(mira, deneb, 5, apart=False)
        before = event(address, "she is bred")
        assert before.dtstart.value == clock.today()
    with time_machine.travel(datetime.datetime(2026, 3, 9, 12, tzinfo=datetime.UTC), tick=False):
        first, end, sequence, status = state(event(address, "she is bred"))
        assert (first, sequence, status) == (cast.day("2026-03-03"), 1, "CONFIRMED")
        assert end == cast.day("2026-03-13")  # open still: it reaches past today


def test_a_female_past_her_window_stands_on_today_and_not_two_weeks_ago(address, mira, deneb):
    with time_machine.travel(datetime.datetime(2026, 3, 3, 12, tzinfo=datetime.UTC), tick=False):
        mated(mira, deneb, 145)
        late = event(address, "past her window")
        assert late.dtstart.value < cast.day("2026-02-25")
        assert late.dtend.value > clock.today()
        assert int(late.sequence.value) == 0
    with time_machine.travel(datetime.datetime(2026, 3, 5, 12, tzinfo=datetime.UTC), tick=False):
        assert state(event(address, "past her window")) == state(late)  # not moved every day
    with time_machine.travel(datetime.datetime(2026, 3, 7, 12, tzinfo=datetime.UTC), tick=False):
        moved = event(address, "past her window")
        assert moved.dtend.value > clock.today()
        assert (moved.dtstart.value, int(moved.sequence.value)) == (late.dtstart.value, 1)
        mira.outcomes.create(on=clock.today(), kind="live_birth")
        assert event(address, "past her window").status.value == "CANCELLED"


def test_the_title_and_the_text_of_a_window_name_one_day(address, mira, deneb):
    mated(mira, deneb, 138)
    due = event(address, "Mira: due")
    said = due.summary.value.split("middle date ")[1].split(" (")[0]
    assert f"middle date {said}." in due.description.value


def test_an_older_sighting_told_late_does_not_make_other_events(address, mira, deneb):
    """The first day of the season moves; the season is the same one."""
    mated(mira, deneb, 40)
    before = {one.uid.value for one in events(address).values()}
    see(mira, 60, "following")
    assert {one.uid.value for one in events(address).values()} == before


def test_a_birth_cancels_what_stood_and_after_a_month_it_is_gone(address, mira, deneb):
    with time_machine.travel(datetime.datetime(2026, 3, 3, 12, tzinfo=datetime.UTC), tick=False):
        mated(mira, deneb, 105)
        before = event(address, "Mira: due")
        birth(mira, 0)
        after = event(address, "Mira: due")
        assert after.status.value == "CANCELLED"
        assert after.uid.value == before.uid.value
        assert int(after.sequence.value) == int(before.sequence.value) + 1
        assert after.dtstart.value == before.dtstart.value
        open_events = [o for o in events(address).values() if o.status.value == "CONFIRMED"]
        told = sorted(one.summary.value.split(": ")[1] for one in open_events)
        assert told == ["offer first food", "pups on the floor"]
    with time_machine.travel(datetime.datetime(2026, 4, 1, 12, tzinfo=datetime.UTC), tick=False):
        assert any("Mira: due" in summary for summary in events(address))
    with time_machine.travel(datetime.datetime(2026, 4, 3, 12, tzinfo=datetime.UTC), tick=False):
        assert not any("Mira: due" in summary for summary in events(address))


def test_an_event_that_returns_is_the_same_one_with_a_higher_sequence(address, mira):
    ida = Contact.objects.create(name="Ida")
    kept = Reservation.objects.create(animal=mira, contact=ida, reserved_on=ago(1), until=ahead(9))
    states = [state(event(address, "Mira"))]
    Reservation.objects.filter(pk=kept.pk).update(withdrawn_at=clock.now())
    states.append(state(event(address, "Mira")))
    Reservation.objects.filter(pk=kept.pk).update(withdrawn_at=None, until=ahead(12))
    states.append(state(event(address, "Mira")))
    assert [one[2:] for one in states] == [(0, "CONFIRMED"), (1, "CANCELLED"), (2, "CONFIRMED")]
    assert states[2][0] == ahead(12)


def a_year_later(days=0):
    moment = datetime.datetime(2027, 3, 3, 12, tzinfo=datetime.UTC) + datetime.timedelta(days)
    return time_machine.travel(moment, tick=False)


def test_what_fell_is_kept_for_a_year_and_then_forgotten(address, mira):
    """It fell on 3 March 2026 and is kept to 3 March 2027, noon; other events are left alone."""
    ida = Contact.objects.create(name="Ida")
    with time_machine.travel(datetime.datetime(2026, 3, 3, 12, tzinfo=datetime.UTC), tick=False):
        kept = Reservation.objects.create(
            animal=mira, contact=ida, reserved_on=ago(1), until=ahead(9)
        )
        first = event(address, "Mira").uid.value
        Reservation.objects.filter(pk=kept.pk).update(withdrawn_at=clock.now())
        ask(address)
    with a_year_later():
        vega = cast.female("Vega")
        Reservation.objects.create(animal=vega, contact=ida, reserved_on=ago(1), until=ahead(9))
        ask(address)
        assert FeedEvent.objects.filter(summary__startswith="Mira").exists()
    with a_year_later(1):
        Reservation.objects.filter(animal=vega).update(until=ahead(12))
        assert event(address, "Vega").sequence.value == "1"
        assert not FeedEvent.objects.filter(summary__startswith="Mira").exists()
    with a_year_later(2):
        Reservation.objects.filter(pk=kept.pk).update(withdrawn_at=None, until=ahead(20))
        again = event(address, "Mira")
        assert again.uid.value != first
        assert again.sequence.value == "0"


def test_a_thousand_events_of_other_years_are_not_read(address, mira, deneb):
    fell = clock.now() - datetime.timedelta(days=100)
    FeedEvent.objects.bulk_create(
        FeedEvent(
            series=f"due:{number}",
            kind="due",
            starts_on=ago(100),
            ends_on=ago(90),
            summary="Star: due",
            last_modified=fell,
            cancelled_at=fell,
        )
        for number in range(1000)
    )
    mated(mira, deneb, 40)
    read = []

    def count(instance, **_):
        read.append(instance)

    post_init.connect(count, sender=FeedEvent)
    try:
        told = events(address)
    finally:
        post_init.disconnect(count, sender=FeedEvent)
    assert len(told) == 4
    assert len(read) < 10
    assert FeedEvent.objects.count() == 1004


def test_what_is_done_is_cancelled_and_what_is_put_off_moves(address, mira, deneb):
    mated(mira, deneb, 90)
    lines = {one.kind.key: one for one in all_ahead(the_program(), today=clock.today())}
    before = event(address, "nursery")
    answer_line(lines["nursery_by"].key, by=None, today=clock.today(), put_off_until=ahead(5))
    answer_line(lines["watch_from"].key, by=None, today=clock.today())
    moved = event(address, "nursery")
    assert moved.dtstart.value == ahead(5)
    assert int(moved.sequence.value) == int(before.sequence.value) + 1
    assert event(address, "watch daily").status.value == "CANCELLED"


def test_the_next_season_has_events_of_its_own(address, mira, deneb):
    mated(mira, deneb, 150)
    first = event(address, "Mira: due").uid.value
    birth(mira, 45)
    mated(mira, deneb, 40)
    (second,) = [
        one.uid.value
        for summary, one in events(address).items()
        if summary.startswith("Mira: due") and one.status.value == "CONFIRMED"
    ]
    assert second != first


# ----------------------------------------------------------------------------- to whom it answers


def test_the_answer_says_what_it_is_and_is_listed_nowhere(address, mira):
    answer = ask(address)
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert "noindex" in answer["X-Robots-Tag"]
    assert answer["Cache-Control"] == "private, no-cache"
    assert "Set-Cookie" not in answer.headers


def test_one_who_has_it_already_is_told_so(address, mira, deneb):
    mated(mira, deneb, 40)
    first = ask(address)
    again = ask(address, if_none_match=first["ETag"])
    assert (again.status_code, again.content) == (304, b"")
    assert "noindex" in again["X-Robots-Tag"]
    assert ask(address, if_modified_since=first["Last-Modified"]).status_code == 304
    see(mira, 30)
    assert ask(address, if_none_match=first["ETag"]).status_code == 200


def test_no_wrong_address_is_told_from_another(keeper, owner):
    unknown = ask(address_of("A" * 32))
    assert unknown.status_code == 404
    assert unknown.content == b"Nothing is here.\n"
    closed = open_feed(keeper, now=clock.now())
    services.close_feed(keeper, now=clock.now())
    renewed = open_feed(owner, now=clock.now())
    open_feed(owner, now=clock.now())
    for token in (closed, renewed, "x", "é", "a" * 500):
        answer = ask(address_of(token))
        assert (answer.status_code, answer.content) == (404, unknown.content)
        assert dict(answer.headers) == dict(unknown.headers)


def test_a_person_who_may_not_sign_in_any_more_has_no_calendar(address, keeper):
    assert ask(address).status_code == 200
    keeper.is_active = False
    keeper.save()
    assert ask(address).status_code == 404


@pytest.mark.parametrize("how", ["post", "put", "patch", "delete", "options"])
def test_it_is_only_read(address, how):
    assert getattr(Client(), how)(address).status_code == 405


def test_head_is_answered_like_get(address):
    answer = Client().head(address)
    assert (answer.status_code, answer.content) == (200, b"")
    assert answer["ETag"] == ask(address)["ETag"]


def test_the_secret_is_long_unlike_every_other_and_not_in_the_database(keeper, owner):
    tokens = [open_feed(person, now=clock.now()) for person in (keeper, owner, keeper)]
    assert len(set(tokens)) == 3
    assert all(len(token) == 32 for token in tokens)  # 24 bytes: 192 bits
    assert not any(token in str(row) for token in tokens for row in Feed.objects.values_list())


def test_the_address_can_be_shown_again_and_not_once_the_programs_key_is_another(keeper, settings):
    token = open_feed(keeper, now=clock.now())
    feed = Feed.objects.get(person=keeper)
    assert services.token_of(feed) == token
    settings.SECRET_KEY = "another key than the one it was made with"
    assert services.token_of(feed) == ""
    assert services.find_feed(token) == feed  # the calendars that have it go on


def test_the_page_learns_that_a_calendar_asks_and_writes_it_once_an_hour(address, keeper):
    with time_machine.travel(datetime.datetime(2026, 3, 3, 7, tzinfo=datetime.UTC), tick=False):
        ask(address)
    for minute in (10, 59):
        moment = datetime.datetime(2026, 3, 3, 7, minute, tzinfo=datetime.UTC)
        with time_machine.travel(moment, tick=False):
            ask(address)
        assert Feed.objects.get(person=keeper).asked_at.minute == 0
    with time_machine.travel(datetime.datetime(2026, 3, 3, 8, 1, tzinfo=datetime.UTC), tick=False):
        ask(address)
    assert Feed.objects.get(person=keeper).asked_at.hour == 8


def test_ten_more_females_ask_no_more_questions(address, deneb):
    def questions():
        with CaptureQueriesContext(connection) as asked:
            assert ask(address).status_code == 200
        return len(asked)

    mated(cast.female("Star", pure="motoro"), deneb, 60)
    questions()
    questions()
    before = questions()
    for number in range(10):
        mated(cast.female(f"Star {number}", pure="motoro"), deneb, 30 + number)
    questions()
    questions()
    assert questions() <= before < 36


def test_the_days_are_those_of_the_program(address, mira, deneb):
    """Half past eleven at night by UTC is the next day in London in summer."""
    moment = datetime.datetime(2026, 6, 30, 23, 30, tzinfo=datetime.UTC)  # 1 July, 00:30 there
    with time_machine.travel(moment, tick=False):
        with timezone.override("Europe/London"):
            mated(mira, deneb, 5, apart=False)
        assert event(address, "she is bred").dtstart.value == datetime.date(2026, 7, 1)


def test_uids_are_never_given_twice(address, mira, deneb):
    mated(mira, deneb, 90)
    uids = sorted(one.uid.value for one in events(address).values())
    assert len(uids) >= 3
    assert all(one != other for one, other in pairwise(uids))
