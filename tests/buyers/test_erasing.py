"""A buyer's personal data are erased on request, wherever they were written."""

import json
from pathlib import Path

import pytest
import time_machine
from auditlog.models import LogEntry
from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import models
from django.urls import reverse

from breeding.animals.services import change_animal
from breeding.buyers import erasing, hand_overs, services, waiting
from breeding.buyers.mending import corrections
from breeding.buyers.models import Contact, HandOver
from breeding.housing.models import Tank
from breeding.origin.papers import add_origin_paper
from breeding.program import clock
from breeding.program.models import Act
from breeding.program.services import withdraw as withdraw_record
from breeding.records.services import keep_draft
from breeding.sheets.models import Sheet
from breeding.sheets.sealing.attachment import attachment_of
from breeding.sheets.sealing.check import check_file
from breeding.sheets.services import issue_sheet
from breeding.sheets.standing import standing_of
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
TODAY = cast.day("2026-11-25")
NAME, MAIL, STREET, NUMBER = "Kim Lünd", "kim@example.org", "12 Quay Lane", "+44 1632 960123"
TRACES = (NAME, "Kim Lynd", MAIL, STREET, NUMBER)


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def kim(owner):
    return services.add_contact(by=owner, name=NAME, reach=f"{MAIL}, {STREET}; {NUMBER}")


def everything_kept():
    """Every text of every row of every model, and every file, each with where it is."""
    for model in apps.get_models():
        for row in model._base_manager.values():
            for name, value in row.items():
                if isinstance(value, dict | list):
                    value = json.dumps(value, ensure_ascii=False)
                if isinstance(value, str):
                    yield f"{model._meta.label}.{name}", value
    for session in apps.get_model("sessions.Session").objects.all():
        yield "a session", json.dumps(session.get_decoded(), ensure_ascii=False)


def where_it_stands(files: Path):
    found = {
        place
        for place, text in everything_kept()
        for trace in TRACES
        if trace.casefold() in text.casefold()
    }
    for path in (one for one in files.rglob("*") if one.is_file()):
        content = path.read_bytes()
        if path.suffix == ".pdf":
            content += attachment_of(content)
        found |= {path.name for trace in TRACES if trace.encode() in content}
    return found


def erase(contact, owner):
    return erasing.erase_person(contact, by=owner, now=clock.now(), because="by letter")


def go(animal, contact):
    return hand_overs.hand_over(
        animal,
        contact,
        by=None,
        program=cast.the_program(),
        on=TODAY,
        today=TODAY,
        transport="air",
        packing=f"double bag, call {NUMBER}",
        note=f"for {NAME}",
        has_read_cautions=True,
    )


def a_long_acquaintance(client, kim, owner):
    """A buyer who has left traces in every room, also by pages."""
    edit = {"name": "Kim Lynd", "reach": kim.reach, "wish": f"a pair; write to {MAIL}"}
    client.post(reverse("buyers:edit", args=[kim.pk]), edit)
    client.post(reverse("buyers:edit", args=[kim.pk]), {**edit, "name": NAME})
    kim.refresh_from_db()
    vega, lyra = cast.female("Vega"), cast.female("Lyra")
    client.post(reverse("buyers:reserve", args=[vega.pk]), {"contact": kim.pk, "note": STREET})
    waiting.add_wish(kim, by=owner, wished_on=TODAY, note=f"tell {NAME} first")
    gone = go(vega, kim)
    hand_overs.take_back(gone, on=TODAY, today=TODAY, because=f"{NAME} moved", by=owner)
    kept = services.reserve_animal(lyra, kim, by=owner, on=TODAY, note=NAME)
    withdraw_record(kept, by=owner, now=clock.now(), reason=f"{NAME} wants another")
    Tank.objects.create(name="Pool", note=f"built by KIM  LÜND, {STREET}")
    change_animal(lyra, markings=f"chosen by {NAME}")
    add_origin_paper(lyra, by=owner, today=TODAY, note=f"copy sent to {MAIL}")
    keep_draft(by=owner, file_name="rays.csv", text=f"code,note\nR1,for {NAME}\n")
    issue_sheet(vega, by=owner, on=TODAY, contact=kim)
    session = client.session
    session["last"] = f"asked for {NAME}"
    session.save()
    return gone


def test_nothing_of_the_person_is_left_in_any_column_or_file(
    as_owner, owner, kim, settings, django_capture_on_commit_callbacks
):
    a_long_acquaintance(as_owner, kim, owner)
    files = Path(settings.MEDIA_ROOT)
    before = where_it_stands(files)
    assert {
        *("buyers.Contact.name", "buyers.Contact.reach", "buyers.Contact.wish"),
        *("buyers.Reservation.note", "buyers.Reservation.withdrawn_reason", "buyers.Wish.note"),
        *("buyers.HandOver.packing", "buyers.HandOver.note", "buyers.HandOver.came_back_because"),
        *("auditlog.LogEntry.object_repr", "auditlog.LogEntry.changes", "program.Act.said"),
        *("animals.Animal.markings", "housing.Tank.note", "origin.OriginPaper.note"),
        *("records.ImportDraft.text", "a session"),
    } <= before
    with django_capture_on_commit_callbacks(execute=True):
        erase(kim, owner)
    assert where_it_stands(files) == set()


def test_what_stays_is_that_animals_went_to_a_buyer_on_a_day(as_owner, owner, kim):
    gone = a_long_acquaintance(as_owner, kim, owner)
    erase(kim, owner)
    nobody = Contact.objects.get()
    assert (str(nobody), nobody.reach, nobody.wish) == ("a buyer", "", "")
    assert (nobody.erased_by, nobody.erased_because) == (owner, "by letter")
    kept = HandOver.objects.get(pk=gone.pk)
    assert str(kept) == "Vega to a buyer on 25 November 2026"
    assert (kept.on, kept.came_back_on, kept.transport) == (TODAY, TODAY, "air")
    assert kept.animal.markings == ""
    assert Tank.objects.get().note == "built by a buyer, a buyer"
    page = words(as_owner.get(nobody.get_absolute_url()))
    assert "A contact whose data were erased" in page
    assert "Erased on Wed 25 Nov 2026, 12:00 by Jo: by letter." in page
    assert "Bring back" not in page
    assert "to <a href" in words(as_owner.get(kept.animal.get_absolute_url()))
    history = LogEntry.objects.get_for_object(nobody).order_by("-pk").first()
    assert history.actor == owner
    assert history.changes == {"erased_because": ["None", "by letter"]}


def test_a_sheet_that_does_not_name_its_buyer_stays_as_it_was_signed(as_owner, owner, kim):
    sheet = issue_sheet(cast.female("Vega"), by=owner, on=TODAY, contact=kim)
    erase(kim, owner)
    sheet = Sheet.objects.get(pk=sheet.pk)
    assert standing_of(sheet).is_good
    page = words(as_owner.get(sheet.get_absolute_url()))
    assert "For a buyer" in page
    assert NAME not in page
    page = words(as_owner.get(reverse("sheets:index")))
    assert ">a buyer</a>" in page


def test_a_sheet_that_does_loses_the_words_and_its_file_and_says_so(
    as_owner, stranger, owner, kim, settings, django_capture_on_commit_callbacks
):
    vega = cast.female("Vega", markings=f"a spot like {NAME}")
    sheet = issue_sheet(vega, by=owner, on=TODAY, contact=kim)
    with sheet.file.open("rb") as file:
        handed_out = file.read()
    assert where_it_stands(Path(settings.MEDIA_ROOT)) >= {Path(sheet.file.name).name}
    with django_capture_on_commit_callbacks(execute=True):
        erase(kim, owner)
    assert where_it_stands(Path(settings.MEDIA_ROOT)) == set()
    sheet = Sheet.objects.get(pk=sheet.pk)
    assert sheet.issued_facts.animal.identification == "a spot like a buyer"
    assert not standing_of(sheet).is_good
    shared = reverse("sheets:shared", args=[sheet.links.get().token])
    for page in (words(as_owner.get(sheet.get_absolute_url())), words(stranger.get(shared))):
        assert "Words about a person were erased on Wed 25 Nov 2026." in page
        assert "A file that was handed out before is still whole" in page
        assert "PDF" not in page
    assert as_owner.get(reverse("sheets:file", args=[sheet.pk])).status_code == 404
    assert check_file(handed_out).facts.animal.identification == f"a spot like {NAME}"


def test_a_name_that_means_something_else_stays_where_it_does(owner):
    """Rose is a buyer, a colour and a tank."""
    rose = services.add_contact(by=owner, name="Rose", reach="by mail")
    tank = Tank.objects.create(name="Rose", note="rose light; sent by mail")
    waiting.add_wish(rose, by=owner, wished_on=TODAY, note="Rose wants two")
    erase(rose, owner)
    tank.refresh_from_db()
    assert (tank.name, tank.note) == ("Rose", "rose light; sent by mail")
    assert "Rose" not in str(list(Contact.objects.values())) + str(list(rose.wishes.values()))
    assert not LogEntry.objects.get_for_object(rose).filter(object_repr="Rose").exists()


def test_one_for_whom_an_animal_is_kept_is_not_erased(as_owner, owner, kim):
    kept = services.reserve_animal(cast.female("Vega"), kim, by=owner, on=TODAY)
    with pytest.raises(ValidationError, match="Vega is reserved for Kim Lünd"):
        erase(kim, owner)
    page = words(as_owner.get(reverse("buyers:erase", args=[kim.pk])))
    assert reverse("program:withdraw", args=["reservation", kept.pk]) in page


def test_the_page_says_what_goes_and_what_stays_and_asks_twice(as_owner, owner, kim):
    gone = go(cast.female("Vega"), kim)
    address = reverse("buyers:erase", args=[kim.pk])
    page = words(as_owner.get(address))
    assert "What is erased" in page
    assert f"That {gone.animal.full_name} went to “a buyer” on Wed 25 Nov 2026" in page
    assert "Backups made before today" in page
    for typed, said in (
        ({"because": "by letter", "word": ""}, "Type the word erase"),
        ({"because": "by letter", "word": "delete"}, "“delete” is another word; type erase."),
        ({"because": "", "word": "erase"}, "What was asked, and when?"),
        (
            {"because": f"{NAME} asked", "word": "erase"},
            "This would leave the name or the address on record",
        ),
        ({"because": f"mail of {MAIL}", "word": "erase"}, "This would leave the name"),
    ):
        assert said in words(as_owner.post(address, typed))
        assert not Contact.objects.get().is_erased
    page = words(as_owner.post(address, {"because": "by letter", "word": " Erase "}, follow=True))
    assert "The data of a contact are erased. This cannot be undone." in page
    assert NAME not in page
    assert as_owner.get(address).url == kim.get_absolute_url()


def test_there_is_no_way_back(as_owner, owner, kim):
    address = reverse("buyers:erase", args=[kim.pk])
    as_owner.post(address, {"because": "by letter", "word": "erase"})
    act = Act.objects.latest("pk")
    assert not act.is_undoable
    as_owner.post(reverse("program:undo", args=[act.pk]))
    for key in ("program:bring_back", "program:withdraw"):
        as_owner.post(reverse(key, args=["contact", kim.pk]), {"reason": "no"})
    as_owner.post(reverse("buyers:edit", args=[kim.pk]), {"name": NAME})
    nobody = Contact.objects.get()
    assert (nobody.name, nobody.is_erased, nobody.is_withdrawn) == ("a buyer", True, False)
    with pytest.raises(ValidationError, match="data were erased on request"):
        services.change_contact(kim, name=NAME)
    with pytest.raises(ValidationError, match="erased before"):
        erase(nobody, owner)
    with pytest.raises(ValidationError, match="there is nobody left"):
        corrections.bring_back_contact(nobody)


def test_what_was_written_with_a_form_before_cannot_be_undone_into_the_name(as_owner, owner, kim):
    as_owner.post(reverse("buyers:edit", args=[kim.pk]), {"name": "Kim Berg", "reach": "x"})
    change = Act.objects.latest("pk")
    assert change.is_undoable
    erase(Contact.objects.get(), owner)
    as_owner.post(reverse("program:undo", args=[change.pk]))
    assert Contact.objects.get().name == "a buyer"
    assert not where_it_stands(Path("nowhere"))


def test_an_erased_buyer_is_in_no_choice_and_stands_in_the_list_as_erased(as_owner, owner, kim):
    erase(kim, owner)
    vega = cast.female("Vega")
    for route in ("buyers:reserve", "buyers:hand_over"):
        assert f'value="{kim.pk}"' not in words(as_owner.get(reverse(route, args=[vega.pk])))
    page = words(as_owner.get(reverse("buyers:index") + "?state=erased"))
    assert f'<a href="{kim.get_absolute_url()}">a buyer</a>' in page
    with pytest.raises(ValidationError, match="write down a new contact"):
        issue_sheet(vega, by=owner, on=TODAY, contact=Contact.objects.get())


def test_every_kind_of_text_column_is_looked_through():
    """A new kind of field that holds text has to be found here before it hides a name."""
    known = (models.CharField, models.TextField, models.JSONField, models.FileField)
    silent = (
        *(models.AutoField, models.IntegerField, models.FloatField, models.DecimalField),
        *(models.BooleanField, models.DateField, models.DateTimeField, models.UUIDField),
        *(models.ForeignKey, models.BinaryField, models.GenericIPAddressField),
    )
    others = {
        f"{model._meta.label}.{field.name}: {type(field).__name__}"
        for model in apps.get_models()
        for field in model._meta.concrete_fields
        if not isinstance(field, (*known, *silent))
    }
    assert others == set()
