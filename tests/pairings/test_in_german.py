"""The pairings' pages in German: whole sentences, plurals, dates left to the words."""

import json

import pytest
from django.urls import reverse
from django.utils import translation

from breeding.pairings.care.severity import degree
from breeding.pairings.models import SignKind
from breeding.pairings.season.drawn.line import draw
from breeding.pairings.season.drawn.told import Company, Mark, Season
from breeding.pairings.signs.words import SIGNS
from breeding.program.reference.fixture_files import fixture_path
from tests import cast
from tests.cast import day, pair, words
from tests.pairings.acts import see

GERMAN = {"HTTP_ACCEPT_LANGUAGE": "de"}


@pytest.fixture
def mira(owner):
    female = cast.female("Mira", pure="motoro")
    pair(female, cast.male("Deneb", pure="motoro"), 40)
    see(female, kind="fresh_bite_marks", days=3)
    return female


@pytest.mark.django_db
def test_a_season_is_told_in_german(client, owner, mira):
    client.force_login(owner)
    said = words(client.get(reverse("pairings:female", args=[mira.pk]), **GERMAN))
    assert "Saison von Mira" in said
    assert "Von Deneb trennen" in said
    assert "Frische Bissspuren" in said
    assert "Fresh bite marks" not in said


@pytest.mark.django_db
def test_the_log_asks_in_german(client, owner, mira):
    client.force_login(owner)
    page = client.get(reverse("pairings:log"), **GERMAN)
    said = words(page)
    assert "Was hast du gesehen?" in said
    assert "0, keine" in said
    assert "Fresh bite marks" not in said
    assert 'data-save="Speichern: WHAT"' in page.content.decode()


@pytest.mark.django_db
def test_what_stands_in_the_database_is_translated_where_it_is_shown(mira):
    kind = SignKind.objects.get(key="domed_back")
    with translation.override("de"):
        assert (str(kind), kind.said_within) == ("Rücken gewölbt", "gewölbter Rücken")
    assert kind.label == "Back domed"


def test_every_sign_of_the_file_is_in_the_catalogs():
    content = json.loads(fixture_path("species.json").read_text("utf-8"))
    assert {one["key"] for one in content["signs"]} == set(SIGNS)
    for one in content["signs"]:
        said = SIGNS[one["key"]]
        assert said.label == one["label"]
        assert said.within == one["label"].lower()
        assert said.explanation == one["explanation"]


def test_a_degree_and_a_drawing_are_said_in_german():
    season = Season(
        name="Mira",
        company=[Company("Deneb", day("2026-03-02"), day("2026-04-20"))],
        signs=[Mark(day("2026-03-20"), "frische Bissspuren")],
        window=(day("2026-06-10"), day("2026-06-28")),
        most_even=day("2026-06-19"),
    )
    with translation.override("de"):
        assert str(degree(2)) == "2, Haut verletzt"
        drawn = draw(season, asof=day("2026-05-01"))
    assert "Saison von Mira" in drawn
    assert "Fällig " in drawn
    assert "mittlerer Tag" in drawn
    assert "fällig " in drawn
    assert ">heute<" in drawn
