"""Ten years of somebody's workbook, brought in through the pages: questions, acts, and undoing."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.buyers.models import HandOver
from breeding.housing.models import Stay, Tank, WaterTest
from breeding.litters.models import Litter
from breeding.pairings.models import Pairing, Sighting
from breeding.program.models import Act
from breeding.records.models import ImportDraft
from tests import cast
from tests.cast import words
from tests.records import messy
from tests.records.tables import INDEX, proposal_of

pytestmark = pytest.mark.django_db

# What is not proposed, by a part of the question: the field and what is chosen in it.
ANSWERS = {
    "given more than once": ("text", "L00-9"),
    "from Ida": ("act", "as:captive bred elsewhere"),
    "“??”": ("act", "as:left"),
    "a sire is older": ("act", "skip"),
    "a dam is older": ("act", "skip"),
    "must be female": ("act", "empty"),
    "Nobody": ("act", "skip"),
    "bites": ("act", "as:Biting"),
    "transport": ("act", "as:own car"),
    "Does the test": ("act", "as:ion"),
    "3-4": ("text", "3"),
}
ORDER = (
    *("animals", "people", "measurements", "stays", "pairings"),
    *("sightings", "litters", "water", "sales"),
)


class Keeper:
    """Somebody at the pages; counts what is asked and what is sent."""

    def __init__(self, client) -> None:
        self.client, self.questions, self.acts = client, 0, 0

    def post(self, *sent):
        self.acts += 1
        return self.client.post(*sent, follow=True)

    def answer(self, draft):
        """Send all answers of the page once: what is proposed, and the rest by ANSWERS."""
        page = self.client.get(draft.get_absolute_url())
        sent = {"answers": "1"}
        for asked, fields in page.context["answers"].rows():
            self.questions += asked.given is None
            kept = {f.html_name: f.value() for f in fields if f.value() not in (None, False, "")}
            for part, (field, value) in ANSWERS.items():
                if part in asked.cause.message:
                    kept[f"{field}_{asked.name}"] = value
            sent |= kept
        return self.post(draft.get_absolute_url(), sent) if len(sent) > 1 else page

    def bring_in(self, draft):
        page = self.answer(draft)
        assert [one.message for one in proposal_of(page).problems] == []
        mark = re.search(r'name="sure" value="([^"]+)"', page.content.decode())
        self.questions += mark is not None
        return self.post(
            reverse("records:write", args=[draft.pk]), {"sure": mark[1] if mark else ""}
        )


@pytest.fixture
def brought(as_keeper):
    someone = Keeper(as_keeper)
    file = SimpleUploadedFile("street.xlsx", messy.workbook())
    someone.post(INDEX, {"file": file})
    return someone


def draft_of(kind: str) -> ImportDraft:
    return ImportDraft.objects.get(kind=kind)


def test_three_hundred_problems_have_a_few_causes(brought):
    assert {one.kind for one in ImportDraft.objects.all()} == set(ORDER)
    page = brought.client.get(draft_of("animals").get_absolute_url())
    found = proposal_of(page)
    assert (len(found.table.rows), len(found.problems), len(found.causes)) == (120, 331, 34)
    shown = words(page)
    assert "34 questions to answer first" in shown
    assert "Put into the note, each with its header: Line and looked after by." in shown


def test_the_whole_workbook_comes_in(brought):
    for kind in ORDER:
        brought.bring_in(draft_of(kind))
    assert Animal.objects.filter(code__startswith="F").count() == 20
    assert (Stay.objects.filter(tank__name="B1").count(), Tank.objects.count()) == (3, 5)
    counts = [one.objects.count() for one in (Pairing, Sighting, Litter, WaterTest, HandOver)]
    assert counts == [8, 3, 5, 10, 4]
    assert (brought.questions, brought.acts) == (47, 16)
    electra = Animal.objects.get(code="F05")
    assert (f"{electra.born_on}", electra.born_precision) == ("2013-01-01", "year")
    assert electra.note == "bought; born: spring 2013; looked after by: Ida"
    assert Animal.objects.get(code="L08-3").note.startswith("state: sold to Kim")
    assert Animal.objects.get(code="L05-1").sire.call_name == "Old Tom"
    sold = HandOver.objects.get(animal__code="L00-4")
    assert (sold.contact.name, f"{sold.price:.0f} {sold.currency}") == ("Kim Lund", "350 EUR")
    assert sold.animal.state == "left"


def test_rows_that_were_left_out_are_named_on_the_receipt(brought):
    page = brought.bring_in(draft_of("animals"))
    assert "Left out, as you said: line 80 (L05-5)." in words(page)


def test_an_answer_can_be_changed_and_taken_back(brought):
    draft = draft_of("animals")
    page = brought.answer(draft)
    given = {asked.cause.typed: asked for asked, _ in page.context["answers"].given_rows()}
    name = f"act_{given['lebt'].name}"
    fields = {
        f.html_name: f.value()
        for _, some in page.context["answers"].rows()
        for f in some
        if f.value() not in (None, False, "")
    }
    brought.post(draft.get_absolute_url(), {"answers": "1"} | fields | {name: "as:on loan"})
    draft.refresh_from_db()
    answers = {one["typed"]: one["text"] for one in draft.answers}
    assert answers["lebt"] == "on loan"
    page = brought.post(draft.get_absolute_url(), {"answers": "1"} | fields | {name: ""})
    assert [one.typed for one in proposal_of(page).causes] == ["lebt"]


def test_each_sheet_is_undone_as_a_whole(brought):
    cast.female("Wega")
    for kind in ORDER[:5]:
        brought.bring_in(draft_of(kind))
    for kind in reversed(ORDER[:5]):
        act = Act.objects.get(key=draft_of(kind).written_with)
        back = draft_of(kind).get_absolute_url()
        page = brought.client.post(
            reverse("program:undo", args=[act.pk]), {"back": back}, follow=True
        )
        assert page.status_code == 200
        assert not draft_of(kind).is_written
    assert [one.name for one in Animal.objects.all()] == ["Wega"]
    assert not Stay.objects.exists()
    assert not Tank.objects.exists()
    assert not Pairing.objects.filter(withdrawn_at__isnull=True).exists()


def test_how_a_test_was_read_has_no_empty_answer_that_asks_again(brought):
    for kind in ("animals", "stays"):
        brought.bring_in(draft_of(kind))
    page = brought.client.get(draft_of("water").get_absolute_url())
    asked = {asked.meaning.key: asked for asked, _ in page.context["answers"].open_rows()}
    assert asked["read_as"].choices == [
        ("", "not answered yet"),
        ("as:ion", "read as ion"),
        ("as:n", "read as nitrogen"),
        ("skip", "leave these rows out"),
        ("other", "read as what is written beside"),
    ]


def test_with_every_row_left_out_the_page_says_so_and_no_column_is_missed(brought):
    for kind in ("animals", "stays"):
        brought.bring_in(draft_of(kind))
    address = draft_of("water").get_absolute_url()
    ((asked, _),) = [
        row
        for row in brought.client.get(address).context["answers"].open_rows()
        if row[0].meaning.key == "read_as"
    ]
    page = brought.post(address, {"answers": "1", f"act_{asked.name}": "skip"})
    assert [one.message for one in proposal_of(page).problems] == [
        "Every row is left out by the answers; change one of them, or give the table up."
    ]


def test_the_chronicle_says_what_came_in_and_that_new_tanks_are_new(brought):
    for kind in ("animals", "people", "stays"):
        brought.bring_in(draft_of(kind))
    told = words(brought.client.get(reverse("records:chronicle")))
    assert ": 120 animals from street.xlsx, Rays" in told
    assert ": people from street.xlsx, Buyers" in told
    assert ": stays from street.xlsx, Where they are" in told
    assert "brought back" not in told
