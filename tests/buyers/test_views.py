"""Pages of the buyers' room: who may do what, with any name and however many rows."""

from io import BytesIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from breeding.animals.services import add_photograph
from breeding.buyers import services
from breeding.buyers.models import Contact, Reservation
from breeding.program.models import Person
from breeding.sheets import services as sheet_services
from breeding.sheets.models import Sheet
from tests import cast
from tests.cast import words as page_words

pytestmark = pytest.mark.django_db
INDEX = reverse("buyers:index")
ON = cast.day("2026-11-25")
WEIRD = '<b>#"$_@\\{{'
ISSUE = {"contact": "", "journey": "short", "paper": "a4", "issue": "1"}


def words(answer):
    """A page as one line, with its apostrophes."""
    return page_words(answer).replace("&#x27;", "'")


@pytest.fixture
def kim(owner):
    return services.add_contact(by=owner, name="Kim Lund", wish="a pair of P. motoro")


@pytest.fixture
def lyra(owner):
    sire, dam = cast.male("Deneb", pure="motoro"), cast.female("Vega", pure="motoro")
    return cast.female("Lyra", sire=sire, dam=dam)


def opened(client, address):
    """The answer, with a file read to its end, as a browser does."""
    answer = client.get(address)
    if answer.streaming:
        answer.read_bytes = b"".join(answer.streaming_content)
    return answer


def pages(contact, animal, reservation, sheet):
    """Every page of the room: those to read, and those to write."""
    reads = [
        INDEX,
        reverse("buyers:detail", args=[contact.pk]),
        reverse("sheets:detail", args=[sheet.pk]),
        reverse("sheets:file", args=[sheet.pk]),
        animal.get_absolute_url(),
    ]
    writes = [
        reverse("buyers:new"),
        reverse("buyers:edit", args=[contact.pk]),
        reverse("buyers:reserve", args=[animal.pk]),
        reverse("program:withdraw", args=["reservation", reservation.pk]),
        reverse("sheets:new", args=[animal.pk]),
    ]
    return reads, writes


@pytest.fixture
def everything(kim, lyra, owner):
    reservation = services.reserve_animal(lyra, kim, by=owner, on=ON, until=ON)
    sheet = sheet_services.issue_sheet(lyra, by=owner, on=ON, contact=kim)
    return pages(kim, lyra, reservation, sheet)


# -------------------------------------------------------------------------------------- rights


def test_a_viewer_who_sees_buyers_reads_and_writes_nothing(everything, viewer, as_viewer, lyra):
    Person.objects.filter(pk=viewer.pk).update(sees_buyers=True)
    reads, writes = everything
    assert [opened(as_viewer, address).status_code for address in reads] == [200] * len(reads)
    for address in writes:
        assert as_viewer.get(address).status_code == 403
        assert as_viewer.post(address, ISSUE | {"name": "Ada", "reason": "x"}).status_code == 403
    assert (Sheet.objects.count(), Contact.objects.count()) == (1, 1)
    assert not Reservation.objects.filter(withdrawn_at__isnull=False).exists()
    page = words(as_viewer.get(lyra.get_absolute_url()))
    assert "Make a parentage sheet" not in page
    assert "Reserved for" in page


def test_a_stranger_is_sent_to_sign_in(everything, stranger):
    reads, writes = everything
    for address in [*reads, *writes]:
        for answer in (stranger.get(address), stranger.post(address, ISSUE)):
            assert answer.status_code == 302
            assert answer["Location"].startswith(reverse("program:sign_in"))
    assert Sheet.objects.count() == 1


def test_a_keeper_opens_every_page(everything, as_keeper):
    for address in [*everything[0], *everything[1]]:
        assert opened(as_keeper, address).status_code == 200


@pytest.mark.parametrize(
    "address",
    [
        "buyers/999/",
        "buyers/999/edit/",
        "buyers/reserve/999/",
        "withdraw/reservation/999/",
        "buyers/sheet/new/999/",
        "buyers/sheet/999/",
        "buyers/sheet/999/pdf/",
        "buyers/sheet/999/picture/sire/",
        "buyers/sheet/x/",
    ],
)
def test_what_is_not_there_is_not_found(as_keeper, address):
    assert as_keeper.get(f"/{address}").status_code == 404


def test_a_picture_that_the_sheet_does_not_have_is_not_found(everything, as_keeper):
    sheet = Sheet.objects.get()
    for role in ("sire", "sire-99", "..", "a" * 300):
        address = f"/sheets/{sheet.pk}/picture/{role}/"
        assert as_keeper.get(address).status_code == 404


# ---------------------------------------------------------------------------------- the journey


def test_index_says_what_to_do_first(as_keeper):
    assert "There is no contact yet" in words(as_keeper.get(INDEX))


def test_sheet_new_shows_it_and_issues_it(as_keeper):
    vega, altair = cast.female("Vega", pure="motoro"), cast.male("Altair", pure="motoro")
    deneb = cast.male(sire=altair, dam=vega)
    mira = cast.female(sire=deneb, dam=vega)
    url = reverse("sheets:new", args=[mira.pk])
    page = words(as_keeper.get(url))
    assert "Parentage sheet not issued yet" in page
    answer = as_keeper.post(url, {"journey": "short", "paper": "a4", "issue": "1"}, follow=True)
    assert "is issued and kept as it is" in words(answer)


def test_new_writes_a_contact_and_edit_changes_it(as_keeper, keeper):
    answer = as_keeper.post(reverse("buyers:new"), {"name": "Ada Berg", "reach": "", "wish": ""})
    ada = Contact.objects.get()
    assert answer["Location"] == ada.get_absolute_url()
    assert ada.recorded_by == keeper
    as_keeper.post(reverse("buyers:edit", args=[ada.pk]), {"name": "Ada Holm", "wish": "a male"})
    ada.refresh_from_db()
    assert (ada.name, ada.wish) == ("Ada Holm", "a male")


def test_reserve_keeps_for_somebody_new_by_name(as_keeper, lyra):
    address = reverse("buyers:reserve", args=[lyra.pk])
    as_keeper.post(address, {"contact": "", "new_name": "Ada Berg", "until": "", "note": "deposit"})
    kept = Reservation.objects.get()
    assert (kept.contact.name, kept.note, kept.animal) == ("Ada Berg", "deposit", lyra)


def test_reserve_twice_is_refused_by_name_and_adds_nobody(everything, as_keeper, lyra):
    address = reverse("buyers:reserve", args=[lyra.pk])
    page = words(as_keeper.post(address, {"contact": "", "new_name": "Ada Berg", "until": ""}))
    assert "Lyra is reserved for Kim Lund until 25 November 2026" in page
    assert Contact.objects.count() == 1
    assert 'value="Ada Berg"' in page


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"until": ""}, "Choose for whom, or give the name"),
        ({"new_name": "Ada", "until": "2001-01-01"}, "1 January 2001 is past"),
        ({"new_name": "Ada", "until": "soon"}, "“soon” is not possible for"),
        ({"new_name": "a" * 81}, "at most 80 characters"),
        ({"contact": "999"}, "“999” is not possible for"),
    ],
)
def test_reserve_says_what_is_wrong(as_keeper, lyra, typed, said):
    answer = as_keeper.post(reverse("buyers:reserve", args=[lyra.pk]), typed)
    assert answer.status_code == 200
    assert said in words(answer)
    assert not Reservation.objects.exists()
    assert not Contact.objects.exists()


def test_withdraw_needs_a_reason_and_keeps_it(everything, as_keeper, lyra, kim):
    kept = Reservation.objects.get()
    address = reverse("program:withdraw", args=["reservation", kept.pk])
    as_keeper.post(address, {"reason": " "})
    kept.refresh_from_db()
    assert not kept.is_withdrawn
    as_keeper.post(address, {"reason": "did not answer"})
    page = words(as_keeper.get(kim.get_absolute_url()))
    assert "did not answer" in page
    assert "Not reserved" in words(as_keeper.get(lyra.get_absolute_url()))
    assert "did not answer" in words(as_keeper.get(address))


def test_index_says_what_ran_out(everything, as_keeper):
    Reservation.objects.update(until=cast.day("2020-01-02"))
    assert "ran out" in words(as_keeper.get(INDEX))


def test_sheet_new_refuses_a_paper_that_there_is_not(as_keeper, lyra):
    answer = as_keeper.post(reverse("sheets:new", args=[lyra.pk]), ISSUE | {"paper": "a7"})
    assert "is not possible for" in words(answer)
    assert not Sheet.objects.exists()


def test_sheet_new_chooses_whom_it_is_kept_for(everything, as_keeper, lyra, kim):
    page = words(as_keeper.get(reverse("sheets:new", args=[lyra.pk])))
    assert f'<option value="{kim.pk}" selected>' in page


def test_sheet_new_advises_by_the_length_of_the_journey(as_keeper, lyra):
    as_keeper.post(reverse("sheets:new", args=[lyra.pk]), ISSUE | {"journey": "long"})
    assert "do not drip" in words(as_keeper.get(Sheet.objects.get().get_absolute_url()))


def test_sheet_file_is_a_pdf_with_a_name_to_keep_it_by(everything, as_viewer):
    sheet = Sheet.objects.get()
    answer = opened(as_viewer, reverse("sheets:file", args=[sheet.pk]))
    assert answer["Content-Type"] == "application/pdf"
    assert f'filename="parentage-sheet-{sheet.number}-lyra.pdf"' in answer["Content-Disposition"]
    assert answer.read_bytes.startswith(b"%PDF-")


def test_a_lost_file_is_not_found(everything, as_viewer):
    sheet = Sheet.objects.get()
    sheet.file.storage.delete(sheet.file.name)
    assert as_viewer.get(reverse("sheets:file", args=[sheet.pk])).status_code == 404


# ------------------------------------------------------------------------------- any name, any size


def test_weird_names_stand_as_they_were_typed_on_every_page(as_keeper, owner):
    cast.the_program(name=f"{WEIRD} Rays", emergency_number=WEIRD)
    sire, dam = cast.male(f"S{WEIRD}", pure="motoro"), cast.female(f"D{WEIRD}", pure="motoro")
    lyra = cast.female(f"L{WEIRD}", sire=sire, dam=dam, markings=f"a {WEIRD} behind the eye")
    contact = services.add_contact(by=owner, name=f"K{WEIRD}", reach=WEIRD, wish=WEIRD)
    reservation = services.reserve_animal(lyra, contact, by=owner, on=ON, note=WEIRD)
    sheet = sheet_services.issue_sheet(lyra, by=owner, on=ON, contact=contact)
    reads, writes = pages(contact, lyra, reservation, sheet)
    for address in [*reads, *writes]:
        answer = opened(as_keeper, address)
        assert answer.status_code == 200
        if not answer.streaming:
            assert "<b>#" not in answer.content.decode()
    page = as_keeper.get(sheet.get_absolute_url()).content.decode()
    for name in ("S", "D", "L"):
        assert f"{name}&lt;b&gt;#&quot;$_@\\{{{{" in page
    assert sheet.issued_facts.animal.name == f"L{WEIRD}"


def test_index_asks_the_same_questions_with_ten_more_of_everything(as_keeper, kim, lyra, owner):
    def questions():
        with CaptureQueriesContext(connection) as asked:
            assert as_keeper.get(INDEX).status_code == 200
        return len(asked)

    services.reserve_animal(lyra, kim, by=owner, on=ON)
    first = sheet_services.issue_sheet(lyra, by=owner, on=ON, contact=kim)
    few = questions()
    for number in range(10):
        contact = services.add_contact(by=owner, name=f"Ada {number}")
        services.reserve_animal(cast.female(f"Nova {number}"), contact, by=owner, on=ON)
        Sheet.objects.create(
            number=f"2025-{number}",
            animal=lyra,
            contact=contact,
            issued_on=ON,
            issued_by=owner,
            facts=first.facts,
            file=first.file.name,
        )
    assert questions() == few
    assert few <= 20


def test_sheet_new_asks_the_same_questions_with_more_kin(as_keeper, owner):
    def questions(animal):
        address = reverse("sheets:new", args=[animal.pk])
        as_keeper.get(address)  # the lineage is read once for all
        with CaptureQueriesContext(connection) as asked:
            assert as_keeper.get(address).status_code == 200
        return len(asked)

    sire, dam = cast.male("Deneb", pure="motoro"), cast.female("Vega", pure="motoro")
    sire = cast.male("Altair", sire=sire, dam=dam)
    young = cast.female("Lyra", sire=sire, dam=dam)
    few = questions(young)
    for number in range(6):
        sire, dam = cast.male(f"M{number}", sire=sire, dam=dam), young
        young = cast.female(f"F{number}", sire=sire, dam=dam)
    assert questions(young) == few
    assert few <= 20


def test_every_page_of_the_room_asks_at_most_twenty_questions(everything, as_keeper):
    of_the_room = [one for one in everything[0] if one.startswith("/buyers/")]
    for address in [*of_the_room, *everything[1]]:
        opened(as_keeper, address)  # the first after a change reads what is kept until the next
        with CaptureQueriesContext(connection) as asked:
            opened(as_keeper, address)
        assert len(asked) <= 20, address


def test_detail_shows_wish_animals_and_sheets(everything, as_keeper, kim):
    page = words(as_keeper.get(kim.get_absolute_url()))
    assert "a pair of P. motoro" in page
    assert "Lyra" in page
    assert Sheet.objects.get().number in page


def test_sheet_shows_what_was_issued_and_leads_to_its_file(everything, as_viewer):
    sheet = Sheet.objects.get()
    page = words(as_viewer.get(sheet.get_absolute_url()))
    assert f"Parentage sheet {sheet.number}" in page
    assert reverse("sheets:file", args=[sheet.pk]) in page
    for name in ("Deneb", "Vega", "Lyra"):
        assert name in page


def test_sheet_picture_is_the_copy_that_was_kept(owner, as_viewer):
    out = BytesIO()
    Image.new("RGB", (300, 300), "brown").save(out, "JPEG")
    sire = cast.male("Deneb")
    add_photograph(sire, BytesIO(out.getvalue()), by=owner)
    sheet = sheet_services.issue_sheet(cast.female("Lyra", sire=sire), by=owner, on=ON)
    answer = opened(as_viewer, reverse("sheets:picture", args=[sheet.pk, "sire"]))
    assert answer["Content-Type"] == "image/jpeg"
    assert answer.read_bytes.startswith(b"\xff\xd8")
