"""What the list of issued sheets can be narrowed to and sorted by."""

import pytest
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


def test_sheets_are_found_by_how_they_stand(as_viewer, sheets):
    assert names(as_viewer, SHEETS) == ["26-002", "26-003", "26-001"]
    assert names(as_viewer, SHEETS, state="stands") == ["26-002"]
    assert names(as_viewer, SHEETS, state="replaced") == ["26-001"]
    assert names(as_viewer, SHEETS, state="withdrawn") == ["26-003"]
    assert "replaced by 26-002" in page_of(as_viewer, SHEETS, q="26-001")
    assert "withdrawn on Mon 2 Feb 2026: A slip." in page_of(as_viewer, SHEETS, q="vega")


def test_sheets_are_found_by_animal_contact_person_and_day(as_viewer, keeper, sheets):
    assert names(as_viewer, SHEETS, q="mira ada") == ["26-002", "26-001"]
    assert names(as_viewer, SHEETS, contact=sheets.pk) == ["26-002", "26-001"]
    assert names(as_viewer, SHEETS, by=keeper.pk) == ["26-003"]
    assert names(as_viewer, SHEETS, since="2026-02-01") == ["26-002", "26-003"]
    assert names(as_viewer, SHEETS, until="2026-01-31") == ["26-001"]


def test_sheets_are_sorted_by_number_and_by_animal(as_viewer, sheets):
    assert names(as_viewer, SHEETS, sort="-number") == ["26-003", "26-002", "26-001"]
    assert names(as_viewer, SHEETS, sort="-animal")[0] == "26-003"
    assert names(as_viewer, SHEETS, sort="contact")[-1] == "26-003"  # for nobody in particular


def test_the_buyers_page_leads_to_all_sheets(as_viewer, sheets):
    assert f'href="{reverse(SHEETS)}"' in page_of(as_viewer, "buyers:index")
