"""Finding, keys and cards, read in German."""

import pytest
from django.urls import reverse

from tests import cast
from tests.cast import words

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how facts become words")]
GERMAN = {"accept-language": "de"}


def page(client, route, **asked):
    return words(client.get(reverse(route), asked, headers=GERMAN))


def test_what_is_found_is_counted_and_headed_in_german(as_keeper):
    cast.female("Mira")
    cast.female("Miras Tochter")
    found = page(as_keeper, "finding:find", q="mira")
    assert "2 Treffer für „mira“." in found
    assert "<h2> Tiere </h2>" in found
    assert "Nichts heißt „zzz“" in page(as_keeper, "finding:find", q="zzz")


def test_keys_and_cards_are_explained_in_german(as_keeper):
    assert "eine Fütterungsrunde" in page(as_keeper, "finding:keys")
    assert "alle Tiere, die hier sind" in page(as_keeper, "finding:labels")
    assert "Welches Becken? Wähle eines." in page(
        as_keeper, "finding:labels", whom="tank", sheet="a4-2x4", first="1"
    )
