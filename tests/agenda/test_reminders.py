"""The pages for calendar, digest and mail; and the command for cron."""

import datetime
import re

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from breeding.agenda.kinds.kind import GROUPS
from breeding.agenda.models import DigestChoice, Feed, Mailing
from breeding.agenda.sent.outbox import remind
from breeding.agenda.services import choose_digest, open_feed
from breeding.mail import Mail
from breeding.program import clock
from tests import cast
from tests.agenda.postbox import Postbox
from tests.agenda.season import mated
from tests.cast import words

pytestmark = pytest.mark.django_db

REMINDERS, MAIL = reverse("agenda:reminders"), reverse("agenda:mail")
FEED_ADDRESS = reverse("agenda:feed_address")
GOOD = {"is_on": "on", "email": "kit@example.org", "hour": "6", "groups": list(GROUPS)}


@pytest.fixture
def postbox(settings):
    box = Postbox()
    box.open()
    settings.MAIL = box.mail()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", box.port
    settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
    settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
    yield box
    box.close()


# --------------------------------------------------------------------------------------- the pages


def test_reminders_are_two_taps_from_the_day_to_the_phones_calendar(as_viewer, viewer):
    assert f'href="{REMINDERS}"' in words(as_viewer.get(reverse("agenda:day")))
    assert f'href="{REMINDERS}"' in words(as_viewer.get(reverse("program:more")))
    assert "Make my calendar" in words(as_viewer.get(REMINDERS))
    page = words(as_viewer.post(FEED_ADDRESS, {"open": "1"}, follow=True))
    (subscribe,) = re.findall(r'href="webcal://testserver([^"]+)"', page)
    assert "Put it on this phone" in page
    assert f'value="http://testserver{subscribe}"' in page
    assert "No calendar has asked for it yet." in page
    assert as_viewer.get(subscribe).status_code == 200
    assert "some only once a day" in page
    assert "A calendar last asked for it" in words(as_viewer.get(REMINDERS))


def test_feed_address_is_renewed_and_closed(as_keeper, keeper):
    first = reverse("agenda:feed", args=[open_feed(keeper, now=clock.now())])
    as_keeper.post(FEED_ADDRESS, {"renew": "1"})
    page = words(as_keeper.get(REMINDERS))
    assert first not in page
    assert as_keeper.get(first).status_code == 404
    (second,) = re.findall(r'href="webcal://testserver([^"]+)"', page)
    page = words(as_keeper.post(FEED_ADDRESS, {"close": "1"}, follow=True))
    assert "it no longer answers anybody" in page
    assert "Make my calendar" in page
    assert as_keeper.get(second).status_code == 404


def test_feed_address_asked_for_twice_is_one_and_the_same(as_keeper):
    pages = [words(as_keeper.post(FEED_ADDRESS, {"open": "1"}, follow=True)) for _ in range(2)]
    first, second = (re.findall(r'href="webcal://testserver([^"]+)"', page) for page in pages)
    assert first == second
    assert as_keeper.get(first[0]).status_code == 200


def test_reminders_show_nobody_elses_calendar(as_keeper, owner):
    token = open_feed(owner, now=clock.now())
    assert token not in words(as_keeper.get(REMINDERS))


def test_reminders_say_when_the_key_has_changed(as_keeper, keeper):
    open_feed(keeper, now=clock.now())
    Feed.objects.filter(person=keeper).update(nonce="of another key")
    assert "the program's key has changed" in as_keeper.get(REMINDERS).content.decode()


def test_reminders_keep_a_viewers_choice(as_viewer, viewer):
    page = words(as_viewer.post(REMINDERS, GOOD | {"groups": ["birth", "young"]}, follow=True))
    assert "Your digest is set. It comes from 6:00 on." in page
    viewer.refresh_from_db()
    choice = DigestChoice.objects.get(person=viewer)
    assert viewer.email == "kit@example.org"
    assert (choice.is_on, choice.hour) == (True, 6)
    assert choice.left_out == [
        "buyers",
        "company",
        "harm",
        "other",
        "own",
        "planned",
        "records",
        "separation",
        "space",
        "water",
    ]
    assert choice.server_address == "http://testserver/"
    assert "None is sent." in words(
        as_viewer.post(REMINDERS, {"email": "kit@example.org", "hour": "6"}, follow=True)
    )
    assert not DigestChoice.objects.get(person=viewer).is_on


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"email": ""}, "Write the address the digest goes to."),
        ({"email": "kit"}, "“kit” is not possible for"),
        ({"email": "kit@example.org\nBcc: all@example.org"}, "allowed is an address like jo@"),
        ({"hour": "24"}, "“24” is not possible for"),
        ({"hour": ""}, "is empty; needed is one from the list."),
        ({"groups": []}, "Choose at least one kind of line, or switch the digest off."),
        ({"groups": ["weather"]}, "“weather” is not possible for"),
    ],
)
def test_reminders_that_cannot_be_kept_say_why_and_keep_what_was_typed(as_viewer, sent, said):
    answer = as_viewer.post(REMINDERS, GOOD | sent)
    assert answer.status_code == 422
    assert said in words(answer)
    assert "checked" in words(answer)
    assert not DigestChoice.objects.exists()


def test_reminders_say_that_no_mail_is_sent_yet(as_keeper, as_owner, settings):
    settings.MAIL = None
    assert "Ask an owner. Your choice is kept." in words(as_keeper.get(REMINDERS))
    assert f'href="{MAIL}"' in words(as_owner.get(REMINDERS))


def an_unsure_one(person):
    return Mailing.objects.create(
        person=person,
        day=clock.today(),
        state="unsure",
        message_id="<one@example.org>",
        next_try_at=clock.now(),
        last_error="The program stopped while handing it to the mail server.",
    )


def test_send_again_is_offered_for_ones_own_unsure_digest_alone(as_keeper, keeper, owner):
    others, own = an_unsure_one(owner), an_unsure_one(keeper)
    page = words(as_keeper.get(REMINDERS))
    assert "It did not arrive: send it again" in page
    assert reverse("agenda:send_again", args=[others.pk]) not in page
    assert as_keeper.post(reverse("agenda:send_again", args=[others.pk])).status_code == 404
    own_address = reverse("agenda:send_again", args=[own.pk])
    assert "It is sent within a few minutes." in words(as_keeper.post(own_address, follow=True))
    own.refresh_from_db()
    assert own.state == "waiting"
    assert "Only a digest that may not have left can be sent again." in words(
        as_keeper.post(own_address, follow=True)
    )


# -------------------------------------------------------------------------------------------- mail


def test_mail_is_for_owners(as_keeper, as_viewer):
    for client in (as_keeper, as_viewer):
        assert client.get(MAIL).status_code == 403
        assert client.post(MAIL).status_code == 403


def test_mail_says_how_it_is_set_up_and_no_secret(as_owner, settings):
    settings.MAIL = Mail("mail.example.org", 465, "lantern", "s3cret", tls=True, sender="a@b.org")
    page = words(as_owner.get(MAIL))
    assert "through mail.example.org, port 465, encrypted, signing in, from a@b.org" in page
    assert "lantern" not in page.replace("Lantern Street", "")
    assert "s3cret" not in page


def test_mail_that_is_not_set_up_says_what_to_do(as_owner, owner, settings):
    settings.MAIL, settings.MAIL_PROBLEM = None, ""
    assert "RAYWARD_MAIL" in words(as_owner.get(MAIL))
    settings.MAIL_PROBLEM = "RAYWARD_MAIL cannot be used. It names no host."
    assert "It names no host." in words(as_owner.get(MAIL))
    owner.email = "jo@example.org"
    owner.save()
    said = "The test mail did not leave. RAYWARD_MAIL cannot be used. It names no host."
    assert said in words(as_owner.post(MAIL, follow=True))


def test_a_test_mail_arrives_and_is_said_to(as_owner, owner, postbox):
    assert "Write your e-mail address under Reminders first." in words(
        as_owner.post(MAIL, follow=True)
    )
    owner.email = "jo@example.org"
    owner.save()
    page = words(as_owner.post(MAIL, follow=True))
    assert "The mail server has taken a mail to jo@example.org." in page
    (mail,) = postbox.taken
    assert (mail["To"], mail["Subject"]) == ("jo@example.org", "Lantern Street Rays: mail arrives")


@pytest.mark.parametrize(
    ("mood", "said"),
    [
        ("never", "550 5.1.1 No such mailbox"),
        ("drop", "dropped the connection."),
        ("gone", "the connection was refused."),
    ],
)
def test_a_test_mail_that_does_not_leave_says_why(as_owner, owner, postbox, mood, said):
    owner.email = "jo@example.org"
    owner.save()
    postbox.mood = mood
    if mood == "gone":
        postbox.close()
    page = words(as_owner.post(MAIL, follow=True))
    assert "The test mail did not leave." in page
    assert said in page


def test_mail_shows_who_gets_a_digest_and_what_became_of_the_last(as_owner, keeper):
    choose_digest(keeper, is_on=True, email="sam@example.org", hour=6, now=clock.now())
    an_unsure_one(keeper)
    page = words(as_owner.get(MAIL))
    assert 'Sam <span class="soft">sam@example.org, from 6:00 on' in page
    assert "Sam: perhaps sent" in page


# -------------------------------------------------------------------------------------- the command


def test_remind_says_in_words_what_it_did(keeper, postbox, capsys):
    call_command("remind")
    assert "Nobody has asked for a digest." in capsys.readouterr().out
    mated(cast.female("Mira", pure="motoro"), cast.male("Deneb", pure="motoro"), 140)
    yesterday = clock.now() - datetime.timedelta(days=1)
    choose_digest(keeper, is_on=True, email="sam@example.org", hour=0, now=yesterday)
    postbox.mood = "never"
    with pytest.raises(CommandError, match="it is tried again"):
        call_command("remind")
    assert "550 5.1.1 No such mailbox Tried again in 1 min." in capsys.readouterr().out
    postbox.mood = "take"
    tomorrow = clock.today() + datetime.timedelta(days=1)
    call_command("remind", at=f"{tomorrow}T07:30")
    assert "Sam: sent to sam@example.org" in capsys.readouterr().out
    call_command("remind", at=f"{tomorrow}T07:31")
    assert "No digest is due." in capsys.readouterr().out


def test_remind_says_that_there_is_no_mail_server_and_reads_moments(owner, settings, postbox):
    with pytest.raises(CommandError, match="--at soon: not a moment; write it like 2026-03-03"):
        call_command("remind", at="soon")
    settings.MAIL, settings.MAIL_PROBLEM = None, ""
    with pytest.raises(CommandError, match="put its address into RAYWARD_MAIL"):
        call_command("remind")


def test_remind_reads_the_day_once_however_many_people_there_are(
    owner, keeper, viewer, postbox, monkeypatch
):
    from breeding.agenda.sent import outbox

    read, the_day = [], outbox.the_day
    monkeypatch.setattr(outbox, "the_day", lambda *a, **k: read.append(1) or the_day(*a, **k))
    mated(cast.female("Mira", pure="motoro"), cast.male("Deneb", pure="motoro"), 140)
    yesterday = clock.now() - datetime.timedelta(days=1)
    for person in (owner, keeper, viewer):
        choose_digest(person, is_on=True, email=f"{person.pk}@example.org", hour=0, now=yesterday)
    remind(clock.now())
    assert len(postbox.taken) == 3
    assert len(read) == 1
