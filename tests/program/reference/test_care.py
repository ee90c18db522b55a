"""The care page says every caution with its source, and whom to call here."""

import pytest
from django.urls import reverse

from breeding.program.reference.cautions import cautions
from tests import cast
from tests.cast import words as page_words

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how facts become words")]
CARE = reverse("program:care")


def words(answer):
    """A page as one line, with its apostrophes."""
    return page_words(answer).replace("&#x27;", "'")


def test_care_says_every_sentence_of_the_cautions_with_its_source(as_viewer):
    page = words(as_viewer.get(CARE))
    about_looks = {"promise", "promise_hybrid"}  # of one animal: they stand on its sheet
    for key in cautions().keys() - about_looks:
        for sentence in cautions()[key].sentences:
            assert sentence.text in page, key
            assert sentence.source in page, key


def test_care_without_numbers_tells_an_owner_where_to_write_them(as_owner, as_viewer):
    assert "No local emergency or poison number is written down yet" in words(as_owner.get(CARE))
    assert reverse("program:settings") in words(as_owner.get(CARE))
    assert "Ask an owner of the program" in words(as_viewer.get(CARE))


def test_care_shows_the_numbers_of_the_program(as_viewer):
    cast.the_program(emergency_number="112", poison_number="0800 <1>", veterinarian="Dr Sam")
    page = words(as_viewer.get(CARE))
    assert "<strong>112</strong>" in page
    assert "<strong>0800 &lt;1&gt;</strong>" in page
    assert "Dr Sam" in page
    assert "No local" not in page


def test_care_sends_a_stranger_to_sign_in(stranger):
    assert stranger.get(CARE).status_code == 302
