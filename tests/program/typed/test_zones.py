"""Time zones: typed, offered while typing, and refused with a hint."""

from zoneinfo import available_timezones

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.program.queries import the_program
from breeding.program.typed.zones import ZoneField, machine_zone, read_zone, zones_offered
from tests.cast import words


def test_every_zone_on_offer_is_one_and_none_is_offered_twice():
    offered = zones_offered()
    assert set(offered) <= available_timezones()
    assert len(set(offered)) == len(offered)
    assert {"Europe/London", "America/New_York", "Pacific/Auckland", "UTC"} <= set(offered)


@pytest.mark.parametrize(
    ("typed", "zone"),
    [
        ("Europe/Berlin", "Europe/Berlin"),
        (" america/new york ", "America/New_York"),
        ("UTC", "UTC"),
        ("Berlin", "Europe/Berlin"),  # the only town of this name
        ("são paulo", "America/Sao_Paulo"),
        ("lisbon", "Europe/Lisbon"),
        ("US/Eastern", "US/Eastern"),  # an older name that a program may have on record
    ],
)
def test_a_zone_is_taken_as_people_type_it(typed, zone):
    assert ZoneField().clean(typed) == zone


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("Moon/Tycho", "“Moon/Tycho” is not a time zone; write it like Europe/Berlin or America/"),
        ("Europe/Lisbn", "Did you mean Europe/Lisbon, Europe/"),
        ("x" * 60, "is not a time zone"),
        ("../../etc/passwd", "is not a time zone"),
        ("", "required"),
    ],
)
def test_an_unknown_zone_is_refused_with_what_may_be_meant(typed, said):
    with pytest.raises(ValidationError, match=said.replace("?", r"\?")):
        ZoneField().clean(typed)


@pytest.mark.django_db
def test_what_a_town_was_taken_for_is_said(as_owner):
    settings = reverse("program:settings")
    shown = as_owner.get(settings).context["form"].initial
    typed = {name: value for name, value in shown.items() if value is not None}
    page = as_owner.post(settings, typed | {"time_zone": "berlin"}, follow=True)
    assert "“berlin” is the time zone Europe/Berlin." in words(page)
    assert the_program().time_zone == "Europe/Berlin"
    page = as_owner.post(settings, typed | {"time_zone": "europe/lisbon"}, follow=True)
    assert "is the time zone" not in words(page)


def test_the_zone_of_this_computer_is_one():
    assert read_zone(machine_zone()) == machine_zone()


def test_the_page_offers_the_zones_beside_a_line_to_type_into():
    drawn = ZoneField().widget.render("time_zone", "Europe/London", {"id": "id_time_zone"})
    assert 'value="Europe/London"' in drawn
    assert 'list="time_zone_offered"' in drawn
    assert '<datalist id="time_zone_offered">' in drawn
    assert '<option value="Africa/Abidjan">' in drawn
    assert len(drawn) < 20_000
