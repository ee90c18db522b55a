"""The pages of the buyers' room, as a keeper, a viewer and a stranger get them."""

import pytest
from django.urls import reverse

from tests import cast

pytestmark = pytest.mark.django_db
INDEX = reverse("buyers:index")


def words(answer):
    return " ".join(answer.content.decode().split())


def test_index_says_what_to_do_first(as_keeper):
    assert "Nobody is written down yet" in words(as_keeper.get(INDEX))


def test_sheet_new_shows_it_and_issues_it(as_keeper):
    vega, altair = cast.female("Vega", pure="motoro"), cast.male("Altair", pure="motoro")
    deneb = cast.male(sire=altair, dam=vega)
    mira = cast.female(sire=deneb, dam=vega)
    url = reverse("buyers:sheet_new", args=[mira.pk])
    page = words(as_keeper.get(url))
    assert "Parentage sheet not issued yet" in page
    answer = as_keeper.post(url, {"journey": "short", "paper": "a4", "issue": "1"}, follow=True)
    assert "is issued and kept as it is" in words(answer)
