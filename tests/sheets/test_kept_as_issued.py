"""An issued sheet keeps its number, words, pictures and file, whatever happens to the records."""

import re
from io import BytesIO
from pathlib import Path

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader

from breeding.animals import services as animals
from breeding.animals.parents.parentage import Parents
from breeding.buyers import services as buyers
from breeding.sheets import services
from breeding.sheets import services as sheet_services
from breeding.sheets.models import Sheet
from breeding.sheets.pdf import SheetTooLong
from tests import cast

pytestmark = pytest.mark.django_db
ON = cast.day("2026-11-25")


def picture(colour):
    out = BytesIO()
    Image.new("RGB", (300, 300), colour).save(out, "JPEG")
    return BytesIO(out.getvalue())


def with_portrait(animal, colour, **more):
    animals.add_photograph(
        animal, picture(colour), by=None, taken_on=cast.day("2026-09-12"), **more
    )
    return animal


@pytest.fixture
def lyra(owner):
    sire = with_portrait(cast.male("Deneb", pure="motoro"), "brown", is_drawing=True)
    dam = with_portrait(cast.female("Vega", pure="motoro"), "black")
    young = cast.female("Lyra", sire=sire, dam=dam, born_on=cast.day("2026-06-03"))
    return with_portrait(young, "grey")


def paper_of(client, sheet):
    """The sheet itself, without the page around it, which carries the session's token."""
    page = client.get(sheet.get_absolute_url()).content.decode()
    (article,) = re.findall(r'<article class="paper".*?</article>', page, re.DOTALL)
    return article


def read(sheet):
    return PdfReader(BytesIO(Path(sheet.file.path).read_bytes()))


def bytes_of(client, address):
    return b"".join(client.get(address).streaming_content)


def test_a_sheet_does_not_change_when_name_portrait_parentage_and_program_do(lyra, as_viewer):
    sheet = sheet_services.issue_sheet(lyra, by=None, on=ON)
    pdf = reverse("sheets:file", args=[sheet.pk])
    portrait = reverse("sheets:picture", args=[sheet.pk, "sire"])
    before = paper_of(as_viewer, sheet), bytes_of(as_viewer, pdf), bytes_of(as_viewer, portrait)
    assert "Deneb" in before[0]
    assert "drawing, 12 Sep 2026" in before[0]

    sire, dam = lyra.sire, lyra.dam
    animals.change_animal(sire, call_name="Sirius")
    old = sire.portrait
    with_portrait(sire, "white")
    old.picture.delete()
    old.delete()
    other = cast.female("Spica", pure="leopoldi")
    animals.change_animal(lyra, call_name="Nova", parents=Parents(None, other))
    animals.add_measurement(lyra, by=None, on=ON, disc_width_mm=155)
    animals.change_animal(dam, call_name="Capella")
    cast.the_program(name="Another House", emergency_number="999")

    after = paper_of(as_viewer, sheet), bytes_of(as_viewer, pdf), bytes_of(as_viewer, portrait)
    assert after == before
    lyra.refresh_from_db()
    again = paper_of(as_viewer, sheet_services.issue_sheet(lyra, by=None, on=ON))
    assert "Deneb" not in again
    assert "Nova" in again
    assert "Spica" in again


def test_a_sheet_cannot_be_saved_again(lyra):
    sheet = sheet_services.issue_sheet(lyra, by=None, on=ON)
    sheet.number = "2026-999"
    with pytest.raises(TypeError, match="kept as issued"):
        sheet.save()


def test_the_file_holds_both_parents_and_is_a_copy_of_its_own(lyra):
    sheet = sheet_services.issue_sheet(lyra, by=None, on=ON)
    text = read(sheet).pages[0].extract_text()
    assert "Deneb" in text
    assert "Vega" in text
    roles = {one.role: one.picture for one in sheet.pictures.all()}
    assert roles.keys() == {"sire", "dam", "animal"}
    assert roles["dam"].name != lyra.dam.portrait.picture.name


def test_a_portrait_whose_file_is_lost_is_said_to_be_missing(lyra, as_viewer):
    Path(lyra.dam.portrait.picture.path).unlink()
    sheet = sheet_services.issue_sheet(lyra, by=None, on=ON)
    assert "dam" not in set(sheet.pictures.values_list("role", flat=True))
    assert sheet.issued_facts.dam.portrait == ""
    assert "no portrait" in paper_of(as_viewer, sheet)


def test_us_letter_is_kept_as_chosen(lyra):
    sheet = sheet_services.issue_sheet(lyra, by=None, on=ON, paper="us-letter")
    box = read(sheet).pages[0].mediabox
    assert (round(box.width), round(box.height)) == (612, 792)  # 8.5 x 11 in of 72 points
    assert sheet.paper == "us-letter"


def test_another_paper_is_refused_by_name(lyra):
    with pytest.raises(ValidationError, match="“a7” is not a paper size: a4, us-letter"):
        sheet_services.issue_sheet(lyra, by=None, on=ON, paper="a7")


# ------------------------------------------------------------------------------------- numbers


def test_numbers_count_within_the_year(lyra):
    days = ("2026-11-25", "2026-12-31", "2027-01-01", "2026-12-31")
    sheets = [sheet_services.issue_sheet(lyra, by=None, on=cast.day(day)) for day in days]
    assert [one.number for one in sheets] == ["2026-001", "2026-002", "2027-001", "2026-003"]


def test_after_999_sheets_numbers_go_on(lyra):
    sheet = sheet_services.issue_sheet(lyra, by=None, on=ON)
    Sheet.objects.filter(pk=sheet.pk).update(number="2026-999")
    assert sheet_services.next_number(ON) == "2026-1000"


def test_a_number_taken_by_somebody_else_meanwhile_is_not_given_twice(lyra, monkeypatch, settings):
    first = sheet_services.issue_sheet(lyra, by=None, on=ON)
    numbers = iter([first.number])  # as read before the other's sheet was written
    reckoned = sheet_services.next_number
    monkeypatch.setattr(services, "next_number", lambda on: next(numbers, None) or reckoned(on))
    second = sheet_services.issue_sheet(lyra, by=None, on=ON)
    assert second.number == "2026-002"
    assert second.issued_facts.sheet_number == "2026-002"
    assert "2026-002" in read(second).pages[0].extract_text()
    kept = [one for one in Path(settings.MEDIA_ROOT, "sheets").rglob("*") if one.suffix == ".pdf"]
    assert len(kept) == 2


def test_the_database_itself_refuses_a_number_twice(lyra):
    sheet = sheet_services.issue_sheet(lyra, by=None, on=ON)
    with pytest.raises(IntegrityError), transaction.atomic():
        Sheet.objects.create(number=sheet.number, animal=lyra, issued_on=ON, facts={}, file="x.pdf")


def test_words_too_long_for_two_pages_are_refused_and_nothing_is_kept(lyra, monkeypatch, settings):
    def too_long(*_, **__):
        raise SheetTooLong("The sheet's words do not fit on 2 pages.")

    monkeypatch.setattr(services, "render_pdf", too_long)
    with pytest.raises(ValidationError, match="do not fit on 2 pages"):
        sheet_services.issue_sheet(lyra, by=None, on=ON)
    assert not Sheet.objects.exists()
    assert not Path(settings.MEDIA_ROOT, "sheets").exists()


def test_a_picture_that_cannot_be_written_leaves_no_half_sheet(lyra, monkeypatch, settings):
    def full(*_, **__):
        raise OSError("no space left")

    monkeypatch.setattr(sheet_services.SheetPicture, "save", full)
    with pytest.raises(OSError, match="no space left"):
        sheet_services.issue_sheet(lyra, by=None, on=ON)
    assert not Sheet.objects.exists()
    assert not [one for one in Path(settings.MEDIA_ROOT, "sheets").rglob("*") if one.is_file()]


# ------------------------------------------------------------------------------------- privacy


def test_the_buyer_stays_off_the_sheet(lyra, owner, as_viewer):
    contact = buyers.add_contact(by=owner, name="Kim Lund", reach="kim@example.org")
    sheet = sheet_services.issue_sheet(lyra, by=owner, on=ON, contact=contact)
    assert sheet.contact == contact
    said = sheet.issued_facts.to_json() + paper_of(as_viewer, sheet)
    assert "for the buyer of Lyra" in said
    assert "Kim" not in said
    assert "example.org" not in said


def test_internal_notes_stay_off_the_sheet(lyra, as_viewer):
    animals.change_animal(lyra, note="sold too cheaply")
    animals.add_measurement(lyra, by=None, on=ON, condition=3, note="thin last week")
    sheet = sheet_services.issue_sheet(lyra, by=None, on=ON)
    said = sheet.issued_facts.to_json()
    assert "cheaply" not in said
    assert "thin last week" not in said
