"""Pages of the ground floor: settings, people, and the page for everything else."""

import re

import pytest
import time_machine
from django.contrib.staticfiles import finders
from django.http import HttpRequest
from django.templatetags.static import static
from django.urls import reverse

from breeding.program import clock
from breeding.program.forms import ProgramForm
from breeding.program.models import Person
from breeding.program.queries import the_program
from breeding.program.services import add_person
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db

SETTINGS, PEOPLE = reverse("program:settings"), reverse("program:people")


def settings(**changes):
    form = ProgramForm(instance=the_program())
    return {name: form[name].value() for name in form.fields} | changes


def test_settings_are_saved_and_hold_at_once(as_owner):
    typed = settings(name="Boathouse Rays", length_unit="in", bred_chance="80 %")
    assert typed["inbreeding_caution"] == "6.25 %"
    answer = as_owner.post(SETTINGS, typed, follow=True)
    assert "The settings are saved." in words(answer)
    assert "Boathouse Rays" in words(answer)
    assert the_program().length_unit == "in"
    assert (the_program().bred_chance, the_program().inbreeding_caution) == (0.8, 0.0625)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"name": ""}, "“Name” is empty; needed is text of up to 80 characters."),
        ({"name": "x" * 81}, "“Name” has 81 characters; allowed are at most 80 characters."),
        (
            {"time_zone": "Moon/Tycho"},
            "“Moon/Tycho” is not a time zone; write it like Europe/Berlin",
        ),
        ({"length_unit": "ell"}, "allowed is one of “centimetres”, “inches”."),
        (
            {"inbreeding_caution": "150"},
            "“150” is not possible for “Inbreeding: warn from”; allowed is",
        ),
        ({"inbreeding_caution": "-0.1"}, "allowed is a number from 0 to 100."),
        ({"inbreeding_caution": ""}, "is empty; needed is a number from 0 to 100."),
        ({"separation_lead_days": ""}, "needed is a whole number from 0 on."),
        (
            {"bred_chance": "nan"},
            "“nan” is not possible for “Chance from which she counts as pregnant”",
        ),
        (
            {"inbreeding_caution": "25 %", "inbreeding_needs_reason": "12,5"},
            "A reason cannot be asked for below the caution: 12.5 % is less than 25 %.",
        ),
        ({"separation_lead_days": "-1"}, "allowed is a whole number from 0 on."),
        ({"separation_lead_days": "30000"}, "30000 days are too many; at most 365 are allowed."),
        ({"nursery_lead_days": "366"}, "366 days are too many; at most 365 are allowed."),
        ({"separate_at_severity": "0"}, "allowed is a whole number from 1 to 4."),
        ({"separate_at_severity": "5"}, "allowed is a whole number from 1 to 4."),
        ({"rest_days": "-1"}, "“-1” is not possible for “Rest days”"),
        ({"rest_days": "366"}, "366 days are too many; at most 365 are allowed."),
        ({"rest_days": "some"}, "“some” is not possible for “Rest days”; allowed is a whole"),
        ({"weight_loss_caution": "100.5"}, "allowed is a number from 0 to 100."),
        ({"code_prefix": "TOOLONG"}, "at most 6 characters"),
    ],
)
def test_settings_that_cannot_be_are_refused_and_kept_in_the_form(as_owner, wrong, said):
    page = words(as_owner.post(SETTINGS, settings(**wrong)))
    assert said in page
    assert the_program().name == "Lantern Street Rays"
    assert the_program().separation_lead_days == 14


@pytest.mark.parametrize(
    ("zone", "day"), [("Pacific/Auckland", "2026-03-04"), ("America/Chicago", "2026-03-03")]
)
def test_today_is_the_day_in_the_programs_time_zone(as_viewer, zone, day):
    """Noon of 3 March in Universal Time is 1 o'clock on 4 March in Auckland (UTC+13)."""
    cast.the_program(time_zone=zone)
    with time_machine.travel("2026-03-03T12:00:00+00:00", tick=False):
        page = words(as_viewer.get(reverse("agenda:day")))
    assert ("Wednesday 4 March" in page) == (day == "2026-03-04")
    assert ("Tuesday 3 March" in page) == (day == "2026-03-03")


def test_the_clock_says_the_day_of_the_zone_that_is_on(db):
    from django.utils import timezone

    with time_machine.travel("2026-03-03T12:00:00+00:00", tick=False):
        with timezone.override("Pacific/Auckland"):
            assert clock.today() == cast.day("2026-03-04")
        assert clock.today() == cast.day("2026-03-03")


# ------------------------------------------------------------------------------------ people

NEW = {"called": "Kit", "username": "kit", "role": "viewer", "password": cast.PASSWORD}


def test_people_are_added_and_can_sign_in(as_owner, client):
    page = words(as_owner.post(PEOPLE, NEW, follow=True))
    assert "Kit can sign in now." in page
    assert client.login(request=HttpRequest(), username="kit", password=cast.PASSWORD)
    kit = Person.objects.get(username="kit")
    assert (kit.role, kit.may_write, kit.is_staff, kit.is_superuser) == (
        "viewer",
        False,
        False,
        False,
    )


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"username": "JO"}, "“JO” is taken"),
        ({"username": "kit smith"}, "“kit smith” is not possible for “Name to sign in with”"),
        ({"password": "12345678"}, "too common"),
        ({"role": "queen"}, "“queen” is not possible for “Role”; allowed is one of"),
        ({"called": ""}, "“Name, as others read it” is empty"),
    ],
)
def test_people_who_cannot_be_added_are_refused(as_owner, wrong, said):
    assert said in words(as_owner.post(PEOPLE, NEW | wrong))
    assert Person.objects.count() == 1


def test_people_are_never_shown_with_their_passwords(as_owner, owner):
    page = words(as_owner.post(PEOPLE, NEW | {"called": ""}))
    assert cast.PASSWORD not in page
    assert owner.password not in page


@pytest.mark.parametrize(
    "change",
    [
        {"role": "keeper", "is_active": "on"},
        {"role": "viewer", "is_active": "on"},
        {"role": "owner"},
    ],
)
def test_person_who_is_the_last_owner_stays_one(as_owner, owner, change):
    address = reverse("program:person", args=[owner.pk])
    page = words(as_owner.post(address, {"called": "Jo"} | change))
    assert "Jo is the only owner; make somebody else an owner first." in page
    owner.refresh_from_db()
    assert owner.is_owner


def test_person_who_is_one_of_two_owners_may_step_down(as_owner, owner):
    add_person(username="kit", called="Kit", password=cast.PASSWORD, role="owner")
    address = reverse("program:person", args=[owner.pk])
    as_owner.post(address, {"called": "Jo", "role": "keeper", "is_active": "on"})
    owner.refresh_from_db()
    assert (owner.role, owner.is_staff) == ("keeper", False)


def test_person_whose_account_is_closed_does_not_count_as_an_owner(as_owner, owner):
    kit = add_person(username="kit", called="Kit", password=cast.PASSWORD, role="owner")
    as_owner.post(reverse("program:person", args=[kit.pk]), {"called": "Kit", "role": "owner"})
    kit.refresh_from_db()
    assert not kit.is_active
    page = words(
        as_owner.post(
            reverse("program:person", args=[owner.pk]),
            {"called": "Jo", "role": "keeper", "is_active": "on"},
        )
    )
    assert "is the only owner" in page


# -------------------------------------------------------------------------------- the rest


def test_more_offers_each_what_they_may_do(as_owner, as_keeper, as_viewer):
    more = reverse("program:more")
    owners, keepers, viewers = (words(one.get(more)) for one in (as_owner, as_keeper, as_viewer))
    assert SETTINGS in owners
    assert SETTINGS not in keepers
    assert reverse("records:index") in keepers
    assert reverse("records:index") not in viewers


def test_more_says_under_headings_what_is_where(as_owner, as_viewer):
    page = as_owner.get(reverse("program:more")).content.decode()
    headings = re.findall("<h2>(.*?)</h2>", page)
    assert headings == [
        "Pairs and young",
        "Animals",
        "Tanks and water",
        "Contacts and sheets",
        "Records, in and out",
        "You",
        "The program",
    ]
    assert "<h2>Sheets</h2>" in as_viewer.get(reverse("program:more")).content.decode()


def test_sign_out_signs_out(as_viewer):
    assert as_viewer.get(reverse("program:sign_out")).status_code == 405
    assert as_viewer.post(reverse("program:sign_out")).url == reverse("program:sign_in")
    assert as_viewer.get(reverse("agenda:day")).status_code == 302


def test_an_address_that_is_wrong_is_answered_in_plain_words(as_viewer):
    answer = as_viewer.get("/nowhere/")
    assert answer.status_code == 404
    assert "Nothing is here" in words(answer)


def test_favicon_is_the_mark_for_strangers_too(stranger, as_viewer):
    """The sign-in page would be answered with another status and no picture."""
    for client in (stranger, as_viewer):
        answer = client.get("/favicon.ico")
        assert (answer.status_code, answer.url) == (302, static("mark.svg"))
        assert "Set-Cookie" not in answer.headers
    assert finders.find("mark.svg")


def test_a_name_the_server_does_not_know_is_said_with_what_to_do(stranger):
    answer = stranger.get("/sign-in/", headers={"host": "boathouse.local:8000"})
    assert answer.status_code == 400
    assert "--name boathouse.local" in answer.content.decode()


def test_the_program_of_a_new_database_has_every_default(db):
    assert (the_program().pk, the_program().time_zone, the_program().length_unit) == (
        1,
        "UTC",
        "cm",
    )
