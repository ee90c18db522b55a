"""What the list of issued sheets can be narrowed to and sorted by."""

import pytest
from django.test import Client
from django.urls import reverse

from breeding.buyers.models import Contact
from breeding.sheets.models import Sheet, SheetWithdrawal
from tests import cast
from tests.lists import names, page_of

pytestmark = pytest.mark.django_db
SHEETS = "sheets:index"


@pytest.fixture
def sheets(owner, keeper):
    """26-001 of Mira for Ada, replaced by 26-002; 26-003 of Vega, withdrawn."""
    ada = Contact.objects.create(name="Ada")
    day = cast.day
    mira, vega = cast.female("Mira"), cast.female("Vega")
    known = {"animal": mira, "facts": {}, "contact": ada, "issued_by": owner}
    first = Sheet.objects.create(number="26-001", issued_on=day("2026-01-01"), **known)
    Sheet.objects.create(number="26-002", issued_on=day("2026-03-01"), corrects=first, **known)
    last = Sheet.objects.create(
        number="26-003", animal=vega, facts={}, issued_on=day("2026-02-01"), issued_by=keeper
    )
    SheetWithdrawal.objects.create(sheet=last, withdrawn_on=day("2026-02-02"), reason="A slip.")
    return ada


def test_sheets_are_found_by_how_they_stand(as_keeper, sheets):
    assert names(as_keeper, SHEETS) == ["26-002", "26-003", "26-001"]
    assert names(as_keeper, SHEETS, state="stands") == ["26-002"]
    assert names(as_keeper, SHEETS, state="replaced") == ["26-001"]
    assert names(as_keeper, SHEETS, state="withdrawn") == ["26-003"]
    assert "replaced by 26-002" in page_of(as_keeper, SHEETS, q="26-001")
    assert "withdrawn on Mon 2 Feb 2026: A slip." in page_of(as_keeper, SHEETS, q="vega")


def test_sheets_are_found_by_animal_contact_person_and_day(as_keeper, keeper, sheets):
    assert names(as_keeper, SHEETS, q="mira ada") == ["26-002", "26-001"]
    assert names(as_keeper, SHEETS, contact=sheets.pk) == ["26-002", "26-001"]
    assert names(as_keeper, SHEETS, by=keeper.pk) == ["26-003"]
    assert names(as_keeper, SHEETS, since="2026-02-01") == ["26-002", "26-003"]
    assert names(as_keeper, SHEETS, until="2026-01-31") == ["26-001"]


def test_sheets_are_sorted_by_number_and_by_animal(as_keeper, sheets):
    assert names(as_keeper, SHEETS, sort="-number") == ["26-003", "26-002", "26-001"]
    assert names(as_keeper, SHEETS, sort="-animal")[0] == "26-003"
    assert names(as_keeper, SHEETS, sort="contact")[-1] == "26-003"  # for nobody in particular


def test_the_buyers_page_leads_to_all_sheets(as_keeper, sheets):
    assert f'href="{reverse(SHEETS)}"' in page_of(as_keeper, "buyers:index")


def test_a_viewer_reads_that_a_sheet_was_withdrawn_and_not_why(viewer, sheets):
    """The reason may name a buyer."""
    client = Client()
    client.force_login(viewer)
    page = page_of(client, SHEETS)
    assert "withdrawn on Mon 2 Feb 2026" in page
    assert "A slip." not in page
    assert "Ada" not in page
