"""A form that comes signed out, too old or on a full disk: kept in words, and written once."""

import datetime
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.pairings import services as pairings
from breeding.pairings.models import Sighting, SignKind
from breeding.program import clock
from breeding.program.acts.once import new_token, person_in
from breeding.program.kept import store
from breeding.program.kept.device import GO_TO, HEADER, WAITED, mark_of
from breeding.program.models import Act, KeptForm, Person, ShownColumns
from tests import cast
from tests.everything import picture

LOG = "/pairings/log/"
FULL = OperationalError("database or disk is full")


@pytest.fixture
def mira(owner):
    return cast.female("Mira", born_on=cast.ago(1500))


@pytest.fixture
def typed(owner, mira):
    """A sighting as the form sends it, with Jo's token."""
    kind = SignKind.objects.get(key="copulation")
    return {
        "once": new_token(owner),
        "female": mira.pk,
        "kind": kind.pk,
        "note": "by the lantern",
    }


def files_kept():
    folder = Path(settings.MEDIA_ROOT) / store.FOLDER
    return sorted(folder.iterdir()) if folder.exists() else []


def page_of(client, path="/kept/"):
    return client.get(path).content.decode()


def test_what_comes_signed_out_is_kept_for_who_typed_it_and_asks_who_it_is(stranger, owner, typed):
    answer = stranger.post(LOG, typed | {"password": "hush"})
    assert answer.url == f"{reverse('program:sign_in')}?next=%2Fkept%2F"
    kept = KeptForm.objects.get()
    assert (kept.person, kept.address) == (owner, LOG)
    assert dict(kept.fields) == {
        "female": str(typed["female"]),
        "kind": str(typed["kind"]),
        "note": "by the lantern",
    }
    assert Sighting.objects.count() == 0


def test_signing_in_leads_to_it_in_words(stranger, typed):
    stranger.post(LOG, typed)
    signed_in = {"username": "jo", "password": cast.PASSWORD}
    answer = stranger.post(reverse("program:sign_in"), signed_in, follow=True)
    page = answer.content.decode()
    assert answer.request["PATH_INFO"] == "/kept/"
    assert "You typed this; nothing of it was written" in page
    for words in ("Pairings: log", "<dd>Mira</dd>", "<dd>Mating</dd>", "<dd>by the lantern</dd>"):
        assert words in page


def test_a_link_leads_to_it_as_well(stranger, owner, typed):
    from breeding.program.services import make_sign_in_link

    stranger.post(LOG, typed)
    token = make_sign_in_link(owner, now=clock.now(), good_for=datetime.timedelta(hours=1))
    assert stranger.post(reverse("program:link", args=[token])).url == "/kept/"


def test_saved_from_there_it_is_written_once_with_its_photograph(stranger, as_owner, typed):
    stranger.post(LOG, typed | {"photograph": SimpleUploadedFile("w.jpg", picture().read())})
    assert len(files_kept()) == 1
    assert "<dd>w.jpg</dd>" in page_of(as_owner)
    assert as_owner.post(LOG, typed).status_code == 302
    seen = Sighting.objects.get()
    assert (seen.note, seen.photograph is not None) == ("by the lantern", True)
    assert (KeptForm.objects.count(), files_kept()) == (0, [])
    as_owner.post(LOG, typed)
    stranger.post(LOG, typed)
    assert (Sighting.objects.count(), KeptForm.objects.count()) == (1, 0)


def test_looked_over_it_shows_the_form_with_what_is_wrong_and_writes_nothing(as_owner, typed):
    page = as_owner.post(LOG, typed | {"seen_at": "2999-01-01T10:00", "look_over": "1"})
    text = page.content.decode()
    assert page.status_code == 200
    assert "Nothing of it is written yet." in text
    assert 'value="by the lantern"' in text
    assert "<title>Error: " in text
    assert Sighting.objects.count() == 0
    in_order = as_owner.post(LOG, typed | {"look_over": "1"}).content.decode()
    assert "<title>Log a sighting" in in_order
    assert Sighting.objects.count() == 0


def test_looked_over_and_refused_it_keeps_its_token_and_its_photograph(stranger, as_owner, typed):
    photograph = SimpleUploadedFile("w.jpg", picture().read())
    stranger.post(LOG, typed | {"kind": "", "photograph": photograph})
    page = as_owner.post(LOG, typed | {"kind": "", "look_over": "1"}).content.decode()
    assert f'name="once" value="{typed["once"]}"' in page
    assert (
        f'name="once" value="{typed["once"]}"'
        in as_owner.post(LOG, typed | {"kind": ""}).content.decode()
    )
    as_owner.post(LOG, typed)
    assert Sighting.objects.get().photograph is not None


def test_looking_over_is_not_a_way_round_the_roles(as_viewer, typed):
    assert as_viewer.post(LOG, typed | {"look_over": "1"}).status_code == 403


def test_looking_over_a_button_without_a_form_undoes_what_it_did(as_owner, owner):
    answer = as_owner.post("/columns/animals:index/", {"look_over": "1", "column": "code"})
    assert answer.url == "/kept/"
    assert ShownColumns.objects.count() == 0
    assert "It is right as it stands." in page_of(as_owner)


def test_nobody_else_sees_it_and_it_can_be_put_away(stranger, as_owner, as_keeper, typed):
    stranger.post(LOG, typed | {"photograph": SimpleUploadedFile("w.jpg", picture().read())})
    away = reverse("program:kept_away", args=[KeptForm.objects.get().pk])
    assert "by the lantern" not in page_of(as_keeper)
    assert as_keeper.post(away).status_code == 404
    assert "by the lantern" in page_of(as_owner)
    assert "nothing of it was written" in as_owner.post(away, follow=True).content.decode()
    assert (KeptForm.objects.count(), files_kept()) == (0, [])
    assert "Nothing is left to write" in page_of(as_owner)


@pytest.mark.parametrize("token", ["", "1.abc", "1.abc:forged"])
def test_without_a_token_of_this_server_nothing_is_kept(stranger, typed, token):
    came_from = {"HTTP_REFERER": "http://testserver/animals/?q=mira"}
    answer = stranger.post(LOG, typed | {"once": token}, **came_from)
    assert answer.url == f"{reverse('program:sign_in')}?next=%2Fanimals%2F%3Fq%3Dmira"
    assert KeptForm.objects.count() == 0


def test_a_page_of_another_host_is_no_place_to_come_back_to(stranger, owner):
    answer = stranger.post(LOG, {}, HTTP_REFERER="http://elsewhere.example/animals/")
    assert answer.url == f"{reverse('program:sign_in')}?next=%2F"


def test_a_stale_security_cookie_keeps_it_too(owner, typed):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(owner)
    answer = strict.post(LOG, typed)
    assert answer.status_code == 403
    assert "what you typed is still here for you" in answer.content.decode()
    assert 'href="/kept/"' in answer.content.decode()
    assert dict(KeptForm.objects.get().fields)["note"] == "by the lantern"
    nobody = strict.post(LOG, typed | {"once": "forged"})
    assert "Go back, load the page again" in nobody.content.decode()


def test_there_is_room_for_twenty_and_for_a_week(stranger, owner, typed):
    for number in range(22):
        stranger.post(LOG, typed | {"once": new_token(owner), "note": f"note {number}"})
    notes = [dict(one.fields)["note"] for one in KeptForm.objects.all()]
    assert notes == [f"note {number}" for number in range(21, 1, -1)]
    later = clock.now() + store.KEPT_FOR + datetime.timedelta(seconds=1)
    assert not store.kept_for(owner, now=later).exists()
    store.put_away_old(later)
    assert KeptForm.objects.count() == 0


def test_what_is_too_long_is_not_kept_and_a_null_is_left_out(stranger, owner, typed):
    stranger.post(LOG, typed | {"note": "x" * store.MOST_CHARACTERS})
    assert KeptForm.objects.count() == 0
    stranger.post(LOG, typed | {"note": "a\0b"})
    assert dict(KeptForm.objects.get().fields)["note"] == "ab"


def test_who_may_no_longer_sign_in_has_nothing_kept(stranger, owner, typed):
    Person.objects.update(is_active=False)
    stranger.post(LOG, typed)
    assert person_in(typed["once"]) == owner.pk
    assert KeptForm.objects.count() == 0


def test_a_full_disk_gives_the_form_back_with_everything_typed(as_owner, typed, monkeypatch):
    def full(**facts):
        raise FULL

    monkeypatch.setattr(pairings, "log_sighting", full)
    answer = as_owner.post(LOG, typed)
    page = answer.content.decode()
    assert answer.status_code == 507
    assert "The disk is full; nothing was saved." in page
    assert 'value="by the lantern"' in page
    assert f'value="{typed["female"]}" checked' in page
    monkeypatch.undo()
    assert as_owner.post(LOG, typed).status_code == 302
    assert Sighting.objects.count() == 1


@pytest.mark.one_database("only SQLite can be told that it is full")
@pytest.mark.django_db(transaction=True)
def test_a_disk_that_is_really_full_gives_the_form_back_and_later_takes_it(species_data):
    owner = cast.owner()
    typed = {"once": new_token(owner), "call_name": "Mira", "sex": "F", "state": "here"}
    typed |= {"origin": "unknown", "note": "𓆝" * 2000, "markings": "𓆟" * 1000}
    client = Client()
    client.force_login(owner)
    with a_full_database():
        answer = client.post(reverse("animals:new"), typed)
    page = answer.content.decode()
    assert answer.status_code == 507
    assert "The disk is full; nothing was saved." in page
    assert "𓆝" * 2000 in page
    assert "<title>New animal" in page
    assert (Animal.objects.count(), Act.objects.count()) == (0, 0)
    assert client.post(reverse("animals:new"), typed).status_code == 302
    assert Animal.objects.get().call_name == "Mira"


@contextmanager
def a_full_database():
    """SQLite may grow no more, and every free page is taken."""
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE filler (x)")
        (pages,) = cursor.execute("PRAGMA page_count").fetchone()
        cursor.execute(f"PRAGMA max_page_count = {pages}")
        for size in (100_000, 3000, 500, 50, 1):
            with suppress(OperationalError):
                while True:
                    cursor.execute("INSERT INTO filler VALUES (zeroblob(%s))", [size])
        yield
        cursor.execute("PRAGMA max_page_count = 1000000")
        cursor.execute("DROP TABLE filler")


@pytest.mark.parametrize("error", [FULL, OSError(28, "No space left on device")])
def test_a_full_disk_that_cannot_show_the_form_carries_what_was_typed(as_owner, monkeypatch, error):
    def full(*facts):
        raise error

    monkeypatch.setattr("breeding.program.services.choose_columns", full)
    answer = as_owner.post("/columns/animals:index/", {"column": "code", "query": "q=mira"})
    page = answer.content.decode()
    assert answer.status_code == 507
    assert "<h1>The disk is full; nothing was saved</h1>" in page
    assert "<dd>q=mira</dd>" in page
    assert ">q=mira</textarea>" in page.replace("\n", "")


def test_another_fault_of_the_database_is_no_full_disk(owner, typed, monkeypatch):
    def broken(**facts):
        raise OperationalError("no such column: x")

    monkeypatch.setattr(pairings, "log_sighting", broken)
    client = Client(raise_request_exception=False)
    client.force_login(owner)
    assert client.post(LOG, typed).status_code == 500


def test_a_database_that_others_hold_too_long_gives_the_form_back_too(as_owner, typed, monkeypatch):
    def locked(**facts):
        raise OperationalError("database is locked")

    monkeypatch.setattr(pairings, "log_sighting", locked)
    answer = as_owner.post(LOG, typed)
    assert answer.status_code == 503
    assert "Somebody else was writing for too long; nothing was saved." in cast.words(answer)
    assert 'value="by the lantern"' in answer.content.decode()
    monkeypatch.undo()
    assert as_owner.post(LOG, typed).status_code == 302
    assert Sighting.objects.count() == 1


def test_the_page_s_script_is_told_where_to_go_and_only_as_the_same_person(
    as_owner, as_keeper, stranger, owner, typed
):
    mark = {"headers": {HEADER: mark_of(owner.pk)}}
    for client in (as_keeper, stranger):
        assert client.post(LOG, typed, **mark).status_code == 401
    assert (Sighting.objects.count(), KeptForm.objects.count()) == (0, 0)
    answer = as_owner.post(LOG, typed, **mark)
    written = f"{reverse('pairings:logged')}?what=seen&animal={typed['female']}"
    assert (answer.status_code, answer.headers[GO_TO]) == (200, written)
    again = as_owner.post(LOG, typed, **mark)
    assert again.headers[GO_TO] == written
    assert Sighting.objects.count() == 1
    assert f'data-person="{mark_of(owner.pk)}"' in page_of(as_owner, "/animals/")
    assert 'data-person=""' in page_of(stranger, reverse("program:sign_in"))


def test_what_was_changed_meanwhile_is_said_when_an_old_form_is_looked_over(as_owner, owner):
    tank = Tank.objects.create(name="Bow", kind="breeding")
    page = page_of(as_owner, reverse("housing:edit", args=[tank.pk]))
    seen = page.partition('name="seen" value="')[2].partition('"')[0]
    Tank.objects.update(name="Stern")
    sent = {"name": "Prow", "kind": "breeding", "seen": seen, "look_over": "1"}
    answer = as_owner.post(reverse("housing:edit", args=[tank.pk]), sent)
    assert "while you had it open" in answer.content.decode()
    assert Tank.objects.get().name == "Stern"
    assert Stay.objects.count() == 0


@pytest.mark.parametrize(
    ("waited", "hours"), [("7200", 2), ("5", 0), ("-7200", 0), ("9" * 8, 0), ("soon", 0), ("²", 0)]
)
def test_seen_now_is_the_moment_of_pressing_not_of_arriving(as_owner, owner, typed, waited, hours):
    headers = {HEADER: mark_of(owner.pk), WAITED: waited.encode().decode("latin-1")}
    as_owner.post(LOG, typed, headers=headers)
    pressed = clock.now() - datetime.timedelta(hours=hours)
    assert abs(Sighting.objects.get().seen_at - pressed) < datetime.timedelta(minutes=1)
    assert abs(Act.objects.get().at - clock.now()) < datetime.timedelta(minutes=1)


def test_saved_after_signing_in_it_is_of_the_moment_it_was_typed(stranger, as_owner, typed):
    stranger.post(LOG, typed)
    three_hours_ago = clock.now() - datetime.timedelta(hours=3)
    KeptForm.objects.update(kept_at=three_hours_ago)
    as_owner.post(LOG, typed)
    assert Sighting.objects.get().seen_at == three_hours_ago
