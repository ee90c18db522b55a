"""A paper of origin is put right, withdrawn and brought back; its document stays byte for byte."""

import hashlib
from io import BytesIO

import pytest
import time_machine
from django.urls import reverse

from breeding.origin.models import OriginPaper
from breeding.origin.papers import add_origin_paper
from breeding.program.acts.mending import change_address_of
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
TODAY = cast.day("2026-11-25")
PDF = b"%PDF-1.4\nA paper\n%%EOF\n"


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def paper(owner):
    vega = cast.female("Vega")
    return add_origin_paper(
        vega, by=owner, today=TODAY, permit_number="12/7", document=BytesIO(PDF)
    )


def again(paper):
    return OriginPaper.objects.get(pk=paper.pk)


def test_animal_number_code_and_day_are_put_right_and_the_old_ones_stay_readable(as_keeper, paper):
    lyra = cast.female("Lyra")
    typed = {
        "animal": lyra.pk,
        "source_code": "C",
        "permit_number": "12/8",
        "issued_by": "the ministry",
        "dated": "2026-11-03",
        "note": "",
    }
    as_keeper.post(change_address_of(paper), typed)
    kept = again(paper)
    assert (kept.animal, kept.source_code, kept.permit_number) == (lyra, "C", "12/8")
    assert (kept.issued_by, kept.dated) == ("the ministry", cast.day("2026-11-03"))
    assert kept.document_sha256 == hashlib.sha256(PDF).hexdigest()
    page = words(as_keeper.get(change_address_of(paper)))
    assert "permit number: from 12/7 to 12/8" in page
    assert "Its document stays exactly as it is" in page


def test_a_day_to_come_and_a_paper_that_says_nothing_are_refused(as_keeper, paper):
    typed = {"animal": paper.animal_id, "permit_number": "12/7", "dated": "2026-11-26"}
    page = words(as_keeper.post(change_address_of(paper), typed))
    assert "26 November 2026 is still to come; today or before." in page
    bare = add_origin_paper(paper.animal, by=None, today=TODAY, note="seen")
    page = words(as_keeper.post(change_address_of(bare), {"animal": paper.animal_id}))
    assert "Give at least a code, a number, who issued it, or a note." in page
    assert again(bare).note == "seen"


def test_a_withdrawn_paper_is_brought_back_from_where_it_stands(as_keeper, paper):
    address = reverse("program:withdraw", args=["paper", paper.pk])
    as_keeper.post(address, {"reason": "another animal"})
    origin = reverse("origin:detail", args=[paper.animal_id])
    assert f'href="{address}">Bring back</a>' in words(as_keeper.get(origin))
    as_keeper.post(reverse("program:bring_back", args=["paper", paper.pk]))
    assert not again(paper).is_withdrawn
    assert f'href="{change_address_of(paper)}"' in words(as_keeper.get(origin))
