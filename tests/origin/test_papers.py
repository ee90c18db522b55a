"""Papers of origin: what a document is by what is in it, and what is kept of it."""

import hashlib
from io import BytesIO
from pathlib import Path

import pytest
from django.core.exceptions import ValidationError
from PIL import Image

from breeding.origin import papers
from breeding.origin.models import OriginPaper
from breeding.origin.papers import LARGEST_BYTES, add_origin_paper, type_of
from breeding.origin.proof import paper_words
from tests import cast

TODAY = cast.day("2026-11-25")
PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\n%%EOF\n"


def picture(kind):
    out = BytesIO()
    Image.new("RGB", (20, 20), "teal").save(out, kind)
    return out.getvalue()


# ------------------------------------------------------------------------------- what it is


@pytest.mark.parametrize(
    ("kind", "is_type"), [("JPEG", "image/jpeg"), ("PNG", "image/png"), ("WEBP", "image/webp")]
)
def test_pictures_of_three_kinds_are_kept(kind, is_type):
    assert type_of(picture(kind)) == is_type


def test_a_picture_that_is_not_whole_is_refused():
    """The sums of the parts of a PNG are wrong when one byte was changed on the way."""
    content = bytearray(picture("PNG"))
    content[content.index(b"IDAT") + 6] ^= 1
    with pytest.raises(ValidationError, match="not whole"):
        type_of(bytes(content))


def test_a_pdf_ends_in_its_last_two_kilobytes():
    """Readers look for the end-of-file mark of five bytes there: 2,048 - 5 may follow it."""
    assert type_of(b"%PDF-1.7\n%%EOF" + b"\n" * 2043) == "application/pdf"
    with pytest.raises(ValidationError, match="not whole"):
        type_of(b"%PDF-1.7\n%%EOF" + b"\n" * 2044)
    assert type_of(b"%PDF-1.7" + b"\n" * 5000 + b"%%EOF") == "application/pdf"


def test_nothing_is_no_document():
    with pytest.raises(ValidationError, match="This file is empty"):
        type_of(b"")


def test_the_end_of_a_pdf_alone_is_no_pdf():
    with pytest.raises(ValidationError, match="of another kind"):
        type_of(b"MZ %%EOF")


def test_twenty_megabytes_are_kept_and_one_byte_more_is_not():
    assert LARGEST_BYTES == 20_000_000
    largest = b"%PDF-" + b"0" * (20_000_000 - 10) + b"%%EOF"
    assert type_of(largest) == "application/pdf"
    with pytest.raises(ValidationError, match="too large"):
        type_of(b"0" + largest)


# ----------------------------------------------------------------------------- what is kept


@pytest.fixture(scope="module")
def vega(kept_for_the_file):
    return cast.female("Vega", pure="leopoldi", origin="wild")


def add(vega, **facts):
    return add_origin_paper(vega, by=None, today=TODAY, **facts)


@pytest.mark.django_db
def test_the_document_is_kept_with_its_type_and_the_sum_of_its_bytes(vega):
    paper = add(vega, document=BytesIO(PDF))
    paper.refresh_from_db()
    assert paper.document_type == "application/pdf"
    assert paper.document_sha256 == hashlib.sha256(PDF).hexdigest()
    assert Path(paper.document.name).suffix == ".pdf"


@pytest.mark.django_db
def test_a_document_one_byte_too_large_is_said_to_be_too_large(vega):
    with pytest.raises(ValidationError, match="too large"):
        add(vega, document=BytesIO(b"%PDF-" + b"0" * (20_000_000 - 9) + b"%%EOF"))


@pytest.mark.django_db
@pytest.mark.parametrize(
    "facts", [{"source_code": "W"}, {"permit_number": "7"}, {"issued_by": "an office"},
              {"note": "seen"}],
)  # fmt: skip
def test_one_thing_said_is_enough(vega, facts):
    paper = add(vega, **facts)
    assert paper.pk
    assert not paper.document


@pytest.mark.django_db
def test_a_paper_that_says_nothing_is_refused(vega):
    with pytest.raises(ValidationError, match="Give at least a code, a number"):
        add(vega, dated=TODAY)


@pytest.mark.django_db
def test_a_code_that_is_none_is_refused(vega):
    with pytest.raises(ValidationError, match="source_code"):
        add(vega, source_code="Q")


@pytest.mark.django_db
def test_a_day_to_come_is_refused_and_today_is_not(vega):
    with pytest.raises(ValidationError, match="26 November 2026 is still to come"):
        add(vega, note="seen", dated=cast.day("2026-11-26"))
    assert add(vega, note="seen", dated=TODAY).dated == TODAY


@pytest.mark.django_db
def test_of_a_paper_that_could_not_be_written_no_document_is_left(vega, monkeypatch, settings):
    tried = []

    def refuse(self, *_, **__):
        tried.append(self)
        raise RuntimeError("the disk is full")

    monkeypatch.setattr(OriginPaper, "save", refuse)
    with pytest.raises(RuntimeError, match="the disk is full"):
        add(vega, document=BytesIO(PDF))
    assert [one for one in Path(settings.MEDIA_ROOT).rglob("*") if one.is_file()] == []
    with pytest.raises(RuntimeError, match="the disk is full"):
        add(vega, note="without a document")
    assert len(tried) == 2  # each once


def test_the_endings_are_those_of_the_kinds_that_are_kept():
    assert sorted(papers.ENDINGS.values()) == ["jpg", "pdf", "png", "webp"]


# ----------------------------------------------------------------------------- what is said


def test_a_paper_is_said_with_all_that_stands_on_it():
    paper = OriginPaper(
        source_code="C",
        permit_number="12/2020",
        issued_by="the authority",
        dated=cast.day("2020-03-03"),
        document="origin/2020/1.pdf",
        note="a copy",
    )
    assert paper_words(paper) == (
        "source code C, number 12/2020, issued by the authority, 3 March 2020, document kept, "
        "a copy"
    )


def test_what_a_paper_does_not_say_is_left_out_and_its_day_and_document_are_missed():
    assert paper_words(OriginPaper()) == "date not recorded, no document kept"
    assert paper_words(OriginPaper(permit_number="7")) == (
        "number 7, date not recorded, no document kept"
    )
