"""Arrivals, loans and papers as a reader of German meets them."""

import datetime

import pytest
from django.urls import reverse

from breeding.arrivals.loans.acts import lend
from breeding.buyers.services import add_contact
from breeding.program import clock
from tests import cast

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how facts become words")]


def test_a_loan_is_told_in_whole_german_sentences(as_keeper, keeper):
    mira, today = cast.female("Mira"), clock.today()
    ida = add_contact(by=keeper, name="Ida Holm")
    since = today - datetime.timedelta(days=5)
    lend(mira, ida, by=keeper, today=today, since=since, young_owed=2)
    page = as_keeper.get(mira.get_absolute_url(), headers={"accept-language": "de"})
    said = " ".join(page.content.decode().split())
    assert "Ida Holm</a> verliehen." in said
    assert "Geschuldete Jungtiere: 0 von 2 gegeben." in said
    listed = as_keeper.get(reverse("arrivals:loans"), headers={"accept-language": "de"})
    assert "0 von 2 Jungtieren gegeben" in listed.content.decode()
