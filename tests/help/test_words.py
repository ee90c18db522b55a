"""The page of words, and the question marks that lead to it."""

import re
from pathlib import Path

import pytest
from django.urls import reverse

import breeding
from breeding.program.reference.glossary import terms
from breeding.words.language import tell
from tests import cast
from tests.cast import words

CODE = Path(breeding.__file__).parent
USED = re.compile(r"{% explained [\"']([^\"']+)[\"'] %}")


def used():
    """Every word asked for beside a figure, with the template that asks."""
    return {
        (key, path.relative_to(CODE))
        for path in CODE.rglob("templates/**/*.html")
        for key in USED.findall(path.read_text(encoding="utf-8"))
    }


def test_every_word_beside_a_figure_is_explained():
    assert {key for key, _ in used()} <= set(terms())
    assert len(used()) > 20


def test_every_word_has_an_example_and_a_source():
    assert len(terms()) > 30
    for one in terms().values():
        assert one.text.endswith("."), one
        assert one.example.endswith("."), one
        assert one.source, one
        assert not one.source.endswith("."), one


@pytest.mark.django_db
def test_the_page_holds_every_word_at_its_anchor(as_viewer):
    page = as_viewer.get(reverse("help:words")).content.decode()
    for key in terms():
        assert page.count(f'id="{key}"') == 1
        assert f'href="#{key}"' in page


@pytest.mark.django_db
def test_words_stand_in_the_order_of_the_alphabet_of_whoever_reads(as_viewer):
    page = words(as_viewer.get(reverse("help:words"), headers={"accept-language": "de"}))
    assert page.index('id="back-height"') > page.index('id="ready-to-leave"')  # Rücken, bereit
    assert "mit keinem gemeinsamen" not in page
    assert "haben F 25 %, von Halbgeschwistern 12,5 %" in page
    assert "eigene Festlegung" in page


@pytest.mark.django_db
def test_inbreeding_on_the_page_of_an_animal_leads_to_its_word(as_keeper):
    mira = cast.female("Mira")
    page = words(as_keeper.get(mira.get_absolute_url()))
    assert 'href="/help/words/#F" aria-label="What is F?"' in page
    assert 'aria-label="What is known ancestry?"' in page


@pytest.mark.django_db
def test_the_question_is_asked_in_german(as_keeper):
    mira = cast.female("Mira")
    page = words(as_keeper.get(mira.get_absolute_url(), headers={"accept-language": "de"}))
    assert 'aria-label="Was heißt „bekannte Abstammung“?"' in page


@pytest.mark.django_db
def test_a_season_explains_chance_and_window(as_keeper):
    mira = cast.female("Mira")
    cast.pair(mira, cast.male("Deneb"), 20)
    page = words(as_keeper.get(reverse("pairings:female", args=[mira.pk])))
    assert "/help/words/#chance" in page
    assert "/help/words/#due-window" in page


def test_a_word_that_is_not_explained_is_an_error():
    from breeding.program.templatetags.explained import explained

    with pytest.raises(KeyError):
        explained("nothing of the kind")


def test_terms_are_kept_as_messages_and_not_as_translations():
    assert tell(terms()["company"].words) == "company"
