"""Whose language and whose clock a page, a calendar and a command speak."""

import datetime

import pytest
from django.template import engines
from django.test import Client
from django.urls import reverse
from django.utils import translation

from breeding.agenda import services as agenda
from breeding.program import clock
from breeding.program.language.chosen import COOKIE, as_read_by
from breeding.program.language.environment import of_environment
from breeding.program.queries import the_program
from breeding.program.services import choose_language
from breeding.words.clock import clock_time
from breeding.words.days import long_day
from tests import cast

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how pages become words")]

SIGN_IN, OWN = "program:sign_in", "program:own_language"


def language_of(answer):
    assert answer.status_code == 200
    code = answer.headers["Content-Language"]
    assert f'<html lang="{code}">' in answer.content.decode()
    return code


def speak_german(program):
    program.language = "de"
    program.save()


def test_a_stranger_is_answered_as_the_browser_asks(stranger):
    ask = reverse(SIGN_IN)
    assert language_of(stranger.get(ask)) == "en"
    assert language_of(stranger.get(ask, headers={"accept-language": "tlh, de-AT;q=0.8"})) == "de"


def test_a_browser_that_asks_for_nothing_there_is_gets_the_programs_language(stranger):
    speak_german(cast.the_program())
    answer = stranger.get(reverse(SIGN_IN), headers={"accept-language": "tlh"})
    assert language_of(answer) == "de"


def test_what_a_stranger_chose_counts_before_what_the_browser_asks(stranger):
    chosen = stranger.get(reverse("program:language", args=["de"]) + "?next=" + reverse(SIGN_IN))
    assert chosen.url == reverse(SIGN_IN)
    assert stranger.cookies[COOKIE].value == "de"
    answer = stranger.get(reverse(SIGN_IN), headers={"accept-language": "en"})
    assert language_of(answer) == "de"
    assert "Cookie" in answer.headers["Vary"]


def test_a_language_that_is_not_there_is_not_kept_and_nobody_is_led_elsewhere(stranger):
    chosen = stranger.get(reverse("program:language", args=["tlh"]) + "?next=https://else.example")
    assert chosen.url == "/"
    assert COOKIE not in stranger.cookies


def test_one_chooses_ones_own_language_and_clock_and_the_browser_is_not_asked(as_viewer, viewer):
    answer = as_viewer.post(reverse(OWN), {"language": "de", "clock": "12"})
    assert answer.url == reverse("program:account")
    viewer.refresh_from_db()
    assert (viewer.language, viewer.clock) == ("de", "12")
    assert language_of(as_viewer.get(reverse(OWN), headers={"accept-language": "en"})) == "de"


def test_a_language_that_is_not_there_is_refused_beside_its_field(as_viewer, viewer):
    answer = as_viewer.post(reverse(OWN), {"language": "tlh"})
    assert "language" in answer.context["form"].errors
    viewer.refresh_from_db()
    assert viewer.language == ""


def test_the_program_has_a_language_that_an_owner_chooses(as_owner):
    page = as_owner.get(reverse("program:settings"))
    assert 'name="language"' in page.content.decode()


def test_what_is_sent_to_somebody_is_in_their_language_and_by_their_clock(keeper):
    choose_language(keeper, language="de", clock="12")
    day, at = datetime.date(2026, 3, 3), datetime.time(14, 5)
    with as_read_by(keeper, the_program()):
        assert (long_day(day), clock_time(at)) == ("3. März 2026", "2:05 PM")
    with as_read_by(None, the_program()):
        assert (long_day(day), clock_time(at)) == ("3 March 2026", "14:05")


def test_a_calendar_speaks_to_its_reader_and_is_kept_in_the_programs_language(keeper, owner):
    mira, deneb = cast.female(), cast.male()
    cast.pair(mira, deneb, 40)
    cast.see(mira, 40)
    addresses = {
        person: reverse("agenda:feed", args=[agenda.open_feed(person, now=clock.now())])
        for person in (keeper, owner)
    }
    choose_language(keeper, language="de", clock="")
    before = Client().get(addresses[owner]).content
    german = Client().get(addresses[keeper]).content.decode()
    assert "Achte jeden Tag auf Jungtiere" in german.replace("\r\n ", "")
    assert Client().get(addresses[owner]).content == before


@pytest.mark.parametrize(
    ("environment", "code"),
    [
        ({"LANG": "de_DE.UTF-8"}, "de"),
        ({"LC_ALL": "de", "LANG": "en_GB.UTF-8"}, "de"),
        ({"LANG": "C.UTF-8"}, ""),
        ({}, ""),
    ],
)
def test_a_command_speaks_the_language_of_the_shell(environment, code):
    assert of_environment(environment) == code


def test_numbers_in_drawings_and_fields_keep_their_point_in_german():
    drawn = engines.all()[0].from_string('<rect x="{{ x }}"/>{{ x|figure:1 }}')
    with translation.override("de"):
        assert drawn.render({"x": 1.5}) == '<rect x="1.5"/>1,5'
