"""A sheet is written as its buyer reads it, and stays in that language."""

import io

import pypdf
import pytest
from django.test import Client
from django.urls import reverse

from breeding.buyers.models import Contact
from breeding.sheets import services
from breeding.sheets.shared.links import address_of
from tests import cast

pytestmark = pytest.mark.django_db
ON = cast.day("2026-11-25")


@pytest.fixture
def ida(owner):
    return Contact.objects.create(name="Ida", language="de")


def the_pdf(sheet):
    with sheet.file.open("rb") as file:
        return pypdf.PdfReader(io.BytesIO(file.read()))


def test_a_sheet_is_in_the_language_of_its_buyer_whoever_issues_it(ida, owner):
    sheet = services.issue_sheet(cast.female(), by=owner, on=ON, contact=ida)
    assert sheet.language == "de"
    pdf = the_pdf(sheet)
    assert pdf.trailer["/Root"]["/Lang"] == "de"
    assert "25. November 2026" in "".join(page.extract_text() for page in pdf.pages)


def test_a_sheet_can_be_wanted_in_another_language_than_the_buyers(ida, owner):
    sheet = services.issue_sheet(cast.female(), by=owner, on=ON, contact=ida, language="en")
    assert sheet.language == "en"
    assert the_pdf(sheet).trailer["/Root"]["/Lang"] == "en"


def test_without_a_buyer_it_is_in_the_programs_language(owner):
    cast.the_program(language="de")
    assert services.issue_sheet(cast.female(), by=owner, on=ON).language == "de"


def test_a_shared_sheet_is_shown_in_its_own_language_whatever_the_browser_asks(ida, owner):
    sheet = services.issue_sheet(cast.female(), by=owner, on=ON, contact=ida)
    address = address_of(sheet.links.get(), "http://testserver")
    answer = Client().get(address, headers={"accept-language": "en"})
    assert answer.headers["Content-Language"] == "de"
    assert "25. November 2026" in answer.content.decode()


def test_the_form_of_a_new_sheet_asks_for_the_language(as_owner, ida):
    mira = cast.female()
    page = reverse("sheets:new", args=[mira.pk])
    assert 'name="language"' in as_owner.get(page).content.decode()
    answer = as_owner.post(page, {"contact": ida.pk, "paper": "a4", "look": "1"})
    assert '<article class="paper" lang="de">' in answer.content.decode()
