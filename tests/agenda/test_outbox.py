"""Every digest goes out once and none is lost, whatever the mail server or the clock does."""

import datetime
from zoneinfo import ZoneInfo

import pytest
import time_machine

from breeding.agenda.models import Mailing
from breeding.agenda.queries import the_day
from breeding.agenda.sent import outbox
from breeding.agenda.sent.outbox import remind
from breeding.agenda.services import answer_line, choose_digest, send_again
from breeding.program.queries import the_program
from tests import cast
from tests.agenda.postbox import Postbox
from tests.agenda.season import mated
from tests.cast import pair, see

pytestmark = pytest.mark.django_db

LONDON = ZoneInfo("Europe/London")
State = Mailing.State


def at(text, zone=LONDON, fold=0):
    """A moment by the clock on the wall."""
    there = datetime.datetime.fromisoformat(text).replace(tzinfo=zone, fold=fold)
    return there.astimezone(datetime.UTC)


@pytest.fixture
def postbox(settings):
    box = Postbox()
    box.open()
    settings.MAIL = box.mail()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", box.port
    settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
    settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
    settings.EMAIL_TIMEOUT = 5
    yield box
    box.close()


@pytest.fixture
def late(owner):
    """On 3 March 2026 Mira is past her window."""
    with time_machine.travel(at("2026-03-03T06:00"), tick=False):
        mira = cast.female("Mira", pure="motoro")
        mated(mira, cast.male("Deneb", pure="motoro"), 140)
    return mira


def choose(person, hour=7, left_out=(), since="2026-03-01T06:00", **more):
    facts = {"is_on": True, "email": f"{person.username}@example.org", "now": at(since)}
    return choose_digest(person, hour=hour, left_out=left_out, **(facts | more))


@pytest.fixture
def sam(keeper, postbox, late):
    choose(keeper)
    return keeper


def the_row():
    return Mailing.objects.latest("day")


def run(start, *, step=1, **span):
    """As the running server does it, every so many minutes of real time."""
    moment, end = start, start + datetime.timedelta(**span)
    while moment < end:
        remind(moment)
        moment += datetime.timedelta(minutes=step)


# -------------------------------------------------------------------------------- what is sent


def test_a_digest_says_what_why_and_how_sure_in_text_and_html(sam, postbox, late):
    choose(sam, server_address="http://boathouse.local:8000/")
    remind(at("2026-03-03T07:00"))
    (mail,) = postbox.taken
    assert mail["To"] == "sam@example.org"
    assert mail["From"] == "Lantern Street Rays <rays@example.org>"
    assert mail["Subject"] == "Mira: past her window"
    assert mail["Auto-Submitted"] == "auto-generated"
    for kind in ("plain", "html"):
        said = " ".join(mail.get_body((kind,)).get_content().split())
        assert "Tuesday 3 March" in said
        assert "past her window" in said
        assert "needs an aquatic veterinarian" in said
        assert "Chance that she is pregnant: " in said
        assert "(9 times in 10), middle date " in said
        assert f"http://boathouse.local:8000/pairings/female/{late.pk}/" in said
        assert "http://boathouse.local:8000/reminders/" in said
        assert "new" in said


def test_without_a_known_address_of_the_program_there_are_no_links(sam, postbox):
    remind(at("2026-03-03T07:00"))
    assert "http" not in postbox.taken[0].get_body(("plain",)).get_content()


def test_names_are_written_as_they_are_in_text_and_made_harmless_in_html(sam, postbox, late):
    late.call_name = "Mira & <b>Co</b>, ž 🐟"
    late.save()
    remind(at("2026-03-03T07:00"))
    (mail,) = postbox.taken
    assert mail["Subject"].startswith("Mira & <b>Co</b>, ž 🐟: ")
    assert "Mira & <b>Co</b>, ž 🐟:" in mail.get_body(("plain",)).get_content()
    assert "Mira &amp; &lt;b&gt;Co&lt;/b&gt;, ž 🐟" in mail.get_body(("html",)).get_content()


def test_nothing_is_sent_when_there_is_nothing(keeper, postbox):
    choose(keeper)
    (outcome,) = remind(at("2026-03-03T07:00"))
    assert outcome.words == "nothing new to tell"
    assert postbox.tried == 0
    assert the_row().state == State.NOTHING


def test_each_person_gets_the_chosen_kinds_at_the_chosen_hour(sam, owner, viewer, postbox):
    choose(owner, hour=9)
    choose(viewer, left_out=["birth"])
    remind(at("2026-03-03T07:00"))
    assert [one["To"] for one in postbox.taken] == ["sam@example.org"]
    remind(at("2026-03-03T08:59"))
    assert len(postbox.taken) == 1
    remind(at("2026-03-03T09:00"))
    assert [one["To"] for one in postbox.taken] == ["sam@example.org", "jo@example.org"]
    assert Mailing.objects.get(person=viewer).state == State.NOTHING


@pytest.mark.parametrize("change", ["off", "closed", "no address"])
def test_who_does_not_want_it_any_more_gets_none_even_when_it_was_waiting(sam, postbox, change):
    postbox.mood = "later"
    remind(at("2026-03-03T07:00"))
    postbox.mood = "take"
    if change == "off":
        choose(sam, is_on=False)
    else:
        sam.is_active, sam.email = change != "closed", "" if change == "no address" else sam.email
        sam.save()
    run(at("2026-03-03T07:01"), minutes=20)
    assert postbox.taken == []
    assert the_row().state == State.OVERTAKEN


def test_switched_on_after_its_hour_it_begins_tomorrow(keeper, postbox, late):
    choose(keeper, since="2026-03-03T15:00")
    remind(at("2026-03-03T15:01"))
    assert postbox.taken == []
    remind(at("2026-03-04T07:00"))
    assert len(postbox.taken) == 1


def test_nothing_is_sent_and_no_row_is_made_without_a_mail_server(sam, settings):
    settings.MAIL = None
    assert remind(at("2026-03-03T07:00")) == []
    assert not Mailing.objects.exists()


# ------------------------------------------------------------------------------ what is told again


def test_what_was_told_is_told_again_after_a_week_and_not_every_morning(sam, postbox):
    for day in range(3, 18):
        remind(at(f"2026-03-{day:02d}T07:00"))
    told = [one["Subject"] for one in postbox.taken]
    days = [one.day.day for one in Mailing.objects.filter(state=State.SENT).order_by("day")]
    assert days == [3, 10, 17]
    assert set(told) == {"Mira: past her window"}
    again = postbox.taken[1].get_body(("plain",)).get_content()
    assert "nothing new." in again
    assert "[new]" not in again


def test_an_animal_to_be_separated_now_is_told_every_day_until_it_is_answered(sam, postbox):
    with time_machine.travel(at("2026-03-03T06:00"), tick=False):
        vega = cast.female("Vega", pure="motoro")
        pair(vega, cast.male("Altair", pure="motoro"), 3)
        see(vega, 0, "fresh_bite_marks", severity=3)
    for day in (3, 4, 5):
        remind(at(f"2026-03-{day:02d}T07:00"))
    assert [one["Subject"] for one in postbox.taken] == [
        f"Vega: separate from Altair now, and {more} more" for more in (1, 2, 2)
    ]  # from the day after her marks are to be looked at as well
    (line,) = [
        one
        for one in the_day(the_program(), today=datetime.date(2026, 3, 5)).lines
        if one.kind.key == "separate_now"
    ]
    answer_line(line.key, by=None, today=datetime.date(2026, 3, 5))
    remind(at("2026-03-06T07:00"))
    assert [one["Subject"] for one in postbox.taken[3:]] == [
        "Vega: look at the marks again, and 1 more"
    ]


def test_what_was_put_off_is_told_on_its_day(sam, postbox):
    remind(at("2026-03-03T07:00"))
    today = datetime.date(2026, 3, 3)
    (line,) = the_day(the_program(), today=today).lines
    answer_line(line.key, by=None, today=today, put_off_until=datetime.date(2026, 3, 6))
    for day in (4, 5):
        remind(at(f"2026-03-0{day}T07:00"))
    assert len(postbox.taken) == 1
    remind(at("2026-03-06T07:00"))
    assert "[asked again, as you wanted]" in postbox.taken[1].get_body(("plain",)).get_content()


# ------------------------------------------------------------------------------------ never twice


def test_a_day_has_one_digest_however_often_it_is_asked_for(sam, postbox):
    run(at("2026-03-03T00:00"), hours=24, step=10)
    assert len(postbox.taken) == 1
    assert the_row().sent_at == at("2026-03-03T07:00")


def test_the_same_day_has_the_same_message_id_and_another_day_another(sam, postbox):
    postbox.mood = "drop after"
    remind(at("2026-03-03T07:00"))
    postbox.mood = "take"
    remind(at("2026-03-03T07:01"))
    remind(at("2026-03-10T07:00"))
    first, again, other = (one["Message-ID"] for one in postbox.taken)
    assert first == again != other
    assert first.startswith("<digest.20260303.")
    assert first.endswith("@example.org>")


class PowerCut(BaseException):
    """The program stops here: nothing catches it."""


def power_cut_at(monkeypatch, state):
    """The program stops when it is about to write this state down."""
    write_down = outbox._move

    def cut(mailing, before, **after):
        if after.get("state") == state:
            raise PowerCut
        return write_down(mailing, before, **after)

    monkeypatch.setattr(outbox, "_move", cut)


def test_a_crash_after_the_server_took_it_sends_no_second_one(sam, postbox, monkeypatch):
    with monkeypatch.context() as broken:
        power_cut_at(broken, State.SENT)
        with pytest.raises(PowerCut):
            remind(at("2026-03-03T07:00"))
    assert len(postbox.taken) == 1
    assert the_row().state == State.HANDING_OVER
    run(at("2026-03-03T07:01"), hours=16, step=5)
    assert len(postbox.taken) == 1
    assert the_row().state == State.UNSURE
    remind(at("2026-03-04T07:00"))  # nothing counts as told: the next morning brings it all
    assert "[new]" in postbox.taken[1].get_body(("plain",)).get_content()


def test_a_crash_before_the_hand_over_is_made_good_within_the_hour(sam, postbox, monkeypatch):
    with monkeypatch.context() as broken:
        power_cut_at(broken, State.HANDING_OVER)
        with pytest.raises(PowerCut):
            remind(at("2026-03-03T07:00"))
    assert postbox.taken == []
    run(at("2026-03-03T07:01"), hours=1)
    assert len(postbox.taken) == 1
    assert the_row().state == State.SENT


def test_one_that_may_not_have_left_is_sent_when_its_reader_says_so(sam, postbox, monkeypatch):
    with monkeypatch.context() as broken:
        power_cut_at(broken, State.SENT)
        with pytest.raises(PowerCut):
            remind(at("2026-03-03T07:00"))
    remind(at("2026-03-03T07:20"))
    send_again(the_row(), now=at("2026-03-03T08:00"))
    remind(at("2026-03-03T08:01"))
    assert the_row().state == State.SENT
    first, second = (one["Message-ID"] for one in postbox.taken)
    assert first == second


def test_one_who_comes_back_after_its_claim_was_given_to_another_sends_nothing(
    sam, postbox, monkeypatch
):
    """A laptop sleeps between claiming and sending; meanwhile another process has sent it."""
    open_connection = outbox.get_connection

    def asleep():
        monkeypatch.setattr(outbox, "get_connection", open_connection)
        remind(at("2026-03-03T07:30"))
        return open_connection()

    monkeypatch.setattr(outbox, "get_connection", asleep)
    assert remind(at("2026-03-03T07:00")) == []
    assert len(postbox.taken) == 1
    assert the_row().state == State.SENT


# ------------------------------------------------------------------------------------- never lost


@pytest.mark.parametrize(
    ("mood", "words"),
    [
        ("later", "does not take mail for sam@example.org: 450 4.2.0 Come back later"),
        ("never", "does not take mail for sam@example.org: 550 5.1.1 No such mailbox"),
        ("drop", "dropped the connection."),
        ("gone", "Nothing takes mail at 127.0.0.1, port "),
    ],
)
def test_mail_that_is_down_is_tried_again_with_growing_pauses_until_it_recovers(
    sam, postbox, mood, words
):
    if mood == "gone":
        postbox.close()
    postbox.mood = mood
    run(at("2026-03-03T07:00"), hours=1)
    row = the_row()
    assert (row.state, row.attempts) == (State.WAITING, 6)  # at 0, 1, 3, 7, 15 and 31 minutes
    assert words in row.last_error
    assert row.next_try_at == at("2026-03-03T08:03")
    if mood == "gone":
        postbox.open()
    postbox.mood = "take"
    run(at("2026-03-03T08:00"), hours=3)
    assert len(postbox.taken) == 1
    row = the_row()
    assert (row.state, row.attempts, row.last_error) == (State.SENT, 7, "")


def test_mail_that_is_down_for_days_brings_one_digest_of_what_stands_then(sam, postbox):
    postbox.close()
    run(at("2026-03-03T07:00"), days=2, hours=23, step=120)
    postbox.open()
    run(at("2026-03-06T06:00"), hours=6)
    (mail,) = postbox.taken
    assert "[new]" in mail.get_body(("plain",)).get_content()
    states = list(Mailing.objects.order_by("day").values_list("state", flat=True))
    assert states.count(State.SENT) == 1
    assert set(states) <= {State.SENT, State.OVERTAKEN, State.NOTHING}


def test_a_server_that_was_off_for_three_days_sends_one_digest(sam, postbox):
    remind(at("2026-03-03T07:00"))
    with time_machine.travel(at("2026-03-07T11:00"), tick=False):
        mated(cast.female("Vega", pure="motoro"), cast.male("Altair", pure="motoro"), 140)
        run(at("2026-03-07T11:40"), hours=10, step=20)
    assert len(postbox.taken) == 2
    said = postbox.taken[1].get_body(("plain",)).get_content()
    assert "Saturday 7 March" in said
    assert said.count("[new]") == 1
    assert Mailing.objects.count() == 2


def test_ones_trouble_keeps_nobody_elses_digest_back(sam, owner, postbox, monkeypatch):
    choose(owner)
    write = outbox.write_mail

    def break_for_sam(digest, choice, *more):
        if choice.person == sam:
            raise ValueError("Something nobody thought of")
        return write(digest, choice, *more)

    monkeypatch.setattr(outbox, "write_mail", break_for_sam)
    remind(at("2026-03-03T07:00"))
    assert [one["To"] for one in postbox.taken] == ["jo@example.org"]
    row = Mailing.objects.get(person=sam)
    assert row.state == State.WAITING
    assert row.last_error == "The mail could not be written (ValueError); the log says more."


# -------------------------------------------------------------------------- clocks that are changed


def test_the_hour_is_that_of_the_programs_time_zone(sam, postbox):
    program = the_program()
    program.time_zone = "America/Chicago"
    program.save()
    remind(at("2026-03-03T06:59", ZoneInfo("America/Chicago")))
    assert postbox.taken == []
    remind(at("2026-03-03T07:00", ZoneInfo("America/Chicago")))
    assert len(postbox.taken) == 1


def test_an_hour_that_does_not_exist_begins_with_the_next_one(keeper, postbox, late):
    """In London on 29 March 2026 one o'clock is two o'clock."""
    choose(keeper, hour=1)
    run(at("2026-03-29T00:00"), hours=23, step=30)
    assert len(postbox.taken) == 1
    assert the_row().sent_at == at("2026-03-29T02:00")
    assert the_row().day == datetime.date(2026, 3, 29)


def test_an_hour_that_comes_twice_is_served_once(keeper, postbox, late):
    """In London on 25 October 2026 the hour from one to two comes twice."""
    with time_machine.travel(at("2026-10-24T06:00"), tick=False):
        mated(cast.female("Vega", pure="motoro"), cast.male("Altair", pure="motoro"), 140)
    choose(keeper, hour=1)
    run(at("2026-10-25T00:00"), hours=25, step=30)
    assert len(postbox.taken) == 1
    assert the_row().sent_at == at("2026-10-25T01:00", fold=0)


def test_the_second_coming_of_an_hour_serves_a_server_that_was_off_for_the_first(
    keeper, postbox, late
):
    choose(keeper, hour=1)
    run(at("2026-10-25T01:30", fold=1), hours=20, step=30)
    assert the_row().sent_at == at("2026-10-25T01:30", fold=1)
    assert Mailing.objects.count() == 1


def test_a_midnight_that_does_not_exist_is_served_at_one(keeper, postbox, late):
    """In Beirut on 29 March 2026 the day begins at one o'clock."""
    beirut = ZoneInfo("Asia/Beirut")
    program = the_program()
    program.time_zone = beirut.key
    program.save()
    choose(keeper, hour=0)
    remind(at("2026-03-28T23:59", beirut))
    before = len(postbox.taken)
    run(at("2026-03-29T01:00", beirut), hours=22, step=30)
    assert Mailing.objects.filter(day=datetime.date(2026, 3, 29)).get().claimed_at == at(
        "2026-03-29T01:00", beirut
    )
    assert len(postbox.taken) - before <= 1


@pytest.mark.parametrize("change_day", ["2026-03-29", "2026-10-25"])
@pytest.mark.parametrize("hour", [0, 1, 2, 3, 7, 23])
def test_every_hour_of_a_day_of_change_makes_exactly_one_row(keeper, postbox, change_day, hour):
    choose(keeper, hour=hour)
    moment = at(f"{change_day}T00:00").astimezone(datetime.UTC)
    while moment.astimezone(LONDON).date().isoformat() == change_day:
        remind(moment)
        moment += datetime.timedelta(minutes=30)
    assert [
        one.day.isoformat() for one in Mailing.objects.all() if one.day.isoformat() == change_day
    ] == [change_day]
