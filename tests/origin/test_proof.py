"""Proof of origin: the chain, generations in captivity, dated listings, papers and documents."""

import json
import shutil
import subprocess
from io import BytesIO

import pypdf
import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from breeding.animals.species.listings import listings_in_use, read_listings
from breeding.origin import proof as origin
from breeding.origin.models import OriginPaper
from breeding.origin.papers import LARGEST_BYTES, add_origin_paper, type_of
from breeding.program.reference.cautions import cautions
from tests import cast
from tests.buyers.litters import TODAY, picture

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\n%%EOF\n"


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


def proof(animal):
    return origin.proof_of(animal, asof=TODAY)


def station(found, name):
    return next(one for one in found.stations if one.animal.call_name == name)


@pytest.fixture
def family(owner):
    """Altair and Vega from the wild; Mira of both; Lyra of Mira and Deneb, bred elsewhere."""
    altair = cast.male("Altair", pure="leopoldi", origin="wild")
    vega = cast.female("Vega", pure="leopoldi", origin="wild")
    mira = cast.female("Mira", sire=altair, dam=vega, origin="here")
    deneb = cast.male("Deneb", pure="motoro", origin="elsewhere")
    lyra = cast.female("Lyra", sire=deneb, dam=mira, origin="here")
    return {"Altair": altair, "Vega": vega, "Mira": mira, "Deneb": deneb, "Lyra": lyra}


# ------------------------------------------------------------------------------------- the chain


def test_the_chain_goes_back_to_every_founder_by_generation(family):
    found = proof(family["Lyra"])
    assert [
        (heading, [one.animal.call_name for one in rows]) for heading, rows in found.generations
    ] == [
        ("itself", ["Lyra"]),
        ("parents", ["Mira", "Deneb"]),
        ("grandparents", ["Altair", "Vega"]),
    ]
    assert {one.animal.call_name for one in found.stations if one.is_founder} == {
        "Altair",
        "Vega",
        "Deneb",
    }


def test_an_ancestor_on_two_lines_stands_once_at_its_nearest(family):
    near = cast.ray("Sirius", sire=family["Altair"], dam=family["Mira"])
    found = proof(near)
    assert [one.animal.call_name for one in found.stations].count("Altair") == 1
    assert station(found, "Altair").generation == 1


def test_generation_in_captivity_follows_the_parents_and_is_unknown_with_them(family):
    """0 from the wild; 1 with a wild parent; an unknown parent: unknown (Conf. 10.16 (Rev.))."""
    found = proof(family["Lyra"])
    assert station(found, "Altair").captivity == "wild caught"
    assert station(found, "Mira").captivity == "first generation in captivity"
    assert found.captivity.startswith("generation in captivity unknown")
    second = cast.ray("Sirius", sire=cast.male("Rigel", origin="wild"), dam=family["Mira"])
    assert proof(second).captivity.startswith("first generation in captivity")


def test_what_is_not_recorded_is_said_and_not_guessed(family):
    gaps = " ".join(proof(cast.ray("Polaris", dam=family["Mira"])).gaps)
    assert "A parent of Polaris is not on record" in gaps
    assert "The origin of Polaris is not recorded." in gaps
    assert "No paper is on record for the founders Altair and Vega." in gaps
    assert "Its species is not known in full." in gaps


def test_an_uncertain_sire_stands_as_one_of_several(family):
    from fractions import Fraction

    half = Fraction(1, 2)
    young = cast.ray(
        "Sirius",
        dam=family["Mira"],
        possible_sires=((family["Altair"], half), (family["Deneb"], half)),
    )
    words = station(proof(young), "Sirius").sire
    assert words.startswith("one of ")
    assert "Altair" in words
    assert " or " in words


# ------------------------------------------------------------------------------------- listings


def test_listed_species_are_flagged_with_their_day_within_four_generations(family):
    """CITES Appendix II since 2023-02-23 for P. leopoldi; III since 2017-01-03 for P. motoro."""
    flags = " ".join(proof(family["Lyra"]).flags)
    assert "P. leopoldi: CITES Appendix II since 23 February 2023" in flags
    assert (
        "P. motoro: CITES Appendix III (populations of Brazil and Colombia) since 3 January 2017"
        in flags
    )


def test_a_listed_species_five_generations_back_is_flagged_in_no_ancestor_out_there(family):
    young = family["Vega"]
    for name in ("One", "Two", "Three", "Four", "Five"):
        young = cast.female(name, dam=young, sire=cast.male(pure="tigrina"))
    found = proof(young)
    assert station(found, "Vega").generation == 5
    assert station(found, "Vega").listed == ()
    assert any("P. leopoldi" in words for words in station(found, "One").listed)


def test_listings_carry_a_day_a_source_and_never_say_allowed(as_viewer, family):
    said = as_viewer.get(reverse("origin:detail", args=[family["Lyra"].pk])).content.decode()
    assert "25 Nov 2026" in said
    assert "Check with the authority" in said
    assert read_listings().pointer in said
    for sentence in (read_listings().sentence, cautions()["law"].full):
        assert "is allowed" not in sentence.replace(
            "Nothing here says that anything is allowed", ""
        )


def test_a_file_in_the_programs_directory_takes_the_place_of_the_one_that_comes_along(tmp_path):
    own = {
        "as_known_on": "2027-01-01",
        "source": "a newer list",
        "pointer": "x",
        "sentence": "Ask.",
        "generations": 2,
        "generations_source": "y",
        "listings": [{"name": "Potamotrygon tigrina", "appendix": "I", "since": "2027-01-01"}],
    }
    (tmp_path / "listings.json").write_text(json.dumps(own), "utf-8")
    found = read_listings(tmp_path)
    assert found.words("Potamotrygon tigrina") == "CITES Appendix I since 1 January 2027"
    assert found.words("Potamotrygon leopoldi") == ""
    own["listings"][0]["appendix"] = "IV"
    (tmp_path / "listings.json").write_text(json.dumps(own), "utf-8")
    with pytest.raises(ValueError, match="'IV' is no appendix: I, II, III are"):
        read_listings(tmp_path)
    (tmp_path / "listings.json").write_text("{", "utf-8")
    with pytest.raises(ValueError, match=r"listings\.json cannot be read"):
        read_listings(tmp_path)


# --------------------------------------------------------------------------------------- papers


def test_a_paper_is_kept_with_its_document_byte_for_byte(family, owner):
    paper = add_origin_paper(
        family["Vega"],
        by=owner,
        today=TODAY,
        source_code="W",
        permit_number="BR 12/2014",
        issued_by="the authority",
        dated=cast.day("2014-05-06"),
        document=BytesIO(PDF),
    )
    with paper.document.open("rb") as file:
        assert file.read() == PDF
    assert paper.document_type == "application/pdf"
    (kept,) = station(proof(family["Lyra"]), "Vega").papers
    assert origin.paper_words(kept) == (
        "source code W, number BR 12/2014, issued by the authority, 6 May 2014, document kept"
    )
    assert "Vega" not in " ".join(one for one in proof(family["Lyra"]).gaps if "No paper" in one)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"MZ\x90",
        b"<html><script>alert(1)</script></html>",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"%PDF-1.7 cut short",
        b"\x89PNG\r\n\x1a\nbroken",
        b"GIF89a",
    ],
)
def test_a_file_of_another_kind_is_refused_whatever_its_name(family, as_keeper, content):
    with pytest.raises(ValidationError, match="Choose a PDF, or a JPEG, PNG or WebP"):
        type_of(content)
    answer = as_keeper.post(
        reverse("origin:paper_new", args=[family["Vega"].pk]),
        {"source_code": "W", "document": SimpleUploadedFile("permit.pdf", content)},
    )
    assert answer.status_code == 200
    assert "errorlist" in answer.content.decode()
    assert not OriginPaper.objects.exists()


def test_a_file_that_is_too_large_is_refused():
    with pytest.raises(ValidationError, match="too large"):
        type_of(b"%PDF-" + b"0" * LARGEST_BYTES)


def test_pictures_are_known_by_what_is_in_them():
    assert type_of(picture().getvalue()) == "image/jpeg"
    out = BytesIO()
    Image.new("RGB", (20, 20)).save(out, "PNG")
    assert type_of(out.getvalue()) == "image/png"


def test_an_empty_paper_is_refused(family, as_keeper):
    with pytest.raises(ValidationError, match="Give at least a code"):
        add_origin_paper(family["Vega"], by=None, today=TODAY)
    answer = as_keeper.post(
        reverse("origin:paper_new", args=[family["Vega"].pk]), {"dated": "2020-01-01"}
    )
    assert "Give at least a code" in answer.content.decode()


def test_a_paper_from_tomorrow_is_refused_by_its_day(family, as_keeper):
    place = reverse("origin:paper_new", args=[family["Vega"].pk])
    answer = as_keeper.post(place, {"permit_number": "12/26", "dated": "2026-11-26"})
    assert "26 November 2026 is still to come; today or before." in answer.content.decode()
    assert not OriginPaper.objects.exists()
    as_keeper.post(place, {"permit_number": "12/26", "dated": "2026-11-25"})
    assert OriginPaper.objects.get().dated == TODAY


def test_origin_document_is_for_those_signed_in_and_may_do_nothing(family, as_viewer, stranger):
    paper = add_origin_paper(family["Vega"], by=None, today=TODAY, document=BytesIO(PDF))
    place = reverse("origin:document", args=[paper.pk])
    answer = as_viewer.get(place)
    assert b"".join(answer.streaming_content) == PDF
    assert answer["Content-Type"] == "application/pdf"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in answer["Content-Security-Policy"]
    assert answer["Cache-Control"] == "private, no-store"
    assert stranger.get(place).status_code == 302
    for route in ("detail", "file", "paper_new"):
        place = reverse(f"origin:{route}", args=[family["Vega"].pk])
        assert stranger.get(place).status_code == 302
    bare = add_origin_paper(family["Vega"], by=None, today=TODAY, note="seen")
    assert as_viewer.get(reverse("origin:document", args=[bare.pk])).status_code == 404


def test_origin_paper_withdraw_keeps_it_readable(family, as_keeper):
    paper = add_origin_paper(family["Vega"], by=None, today=TODAY, permit_number="12/14")
    as_keeper.post(
        reverse("program:withdraw", args=["paper", paper.pk]), {"reason": "of another ray"}
    )
    said = as_keeper.get(reverse("origin:detail", args=[family["Vega"].pk])).content.decode()
    assert "Withdrawn papers (1)" in said
    assert "of another ray" in said
    assert station(proof(family["Vega"]), "Vega").papers == ()


def test_source_codes_stand_with_their_own_meaning(family, as_keeper):
    as_keeper.post(
        reverse("origin:paper_new", args=[family["Mira"].pk]),
        {"source_code": "F", "permit_number": "7"},
    )
    found = proof(family["Lyra"])
    assert [code for code, _ in found.source_meanings] == ["F"]
    said = as_keeper.get(reverse("origin:detail", args=[family["Lyra"].pk])).content.decode()
    assert "the test for C is not met" in said


# ------------------------------------------------------------------------------ pages and paper


def test_origin_asks_no_more_with_ten_more_ancestors(family, as_viewer):
    def queries(animal):
        as_viewer.get(reverse("origin:detail", args=[animal.pk]))
        with CaptureQueriesContext(connection) as asked:
            as_viewer.get(reverse("origin:detail", args=[animal.pk]))
        return len(asked)

    few = queries(family["Lyra"])
    young = family["Lyra"]
    for number in range(10):
        add_origin_paper(young, by=None, today=TODAY, note=f"note {number}")
        young = cast.female(f"Star {number}", dam=young, sire=cast.male())
    assert queries(young) == few
    assert few < 20


def test_origin_file_says_on_paper_what_the_page_says(family, as_viewer):
    add_origin_paper(
        family["Vega"], by=None, today=TODAY, source_code="W", permit_number="#let x = 1 *12*"
    )
    answer = as_viewer.get(reverse("origin:file", args=[family["Lyra"].pk]))
    assert answer["Content-Type"] == "application/pdf"
    reader = pypdf.PdfReader(BytesIO(answer.content))
    text = " ".join(" ".join(one.extract_text() for one in reader.pages).split())
    for words in (
        "Proof of origin of Lyra",
        "P. leopoldi: CITES Appendix II since 23 February 2023",
        "Check with the authority",
        "#let x = 1 *12*",
        "no paper on record",
        "taken from the wild",
    ):
        assert words in text, words
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]


PAPER_POINTS = {"a4": (595.28, 841.89), "us-letter": (612, 792)}  # ISO 216; ANSI/ASME Y14.1


@pytest.mark.parametrize("paper", PAPER_POINTS)
def test_origin_file_is_set_on_the_paper_asked_for(family, as_viewer, paper):
    place = reverse("origin:file", args=[family["Lyra"].pk])
    answer = as_viewer.get(place, {"paper": paper})
    reader = pypdf.PdfReader(BytesIO(answer.content))
    for page in reader.pages:
        size = (float(page.mediabox.width), float(page.mediabox.height))
        assert size == pytest.approx(PAPER_POINTS[paper], abs=0.01)
    text = " ".join(" ".join(one.extract_text() for one in reader.pages).split())
    assert "Proof of origin of Lyra" in text
    assert f"page 1 of {len(reader.pages)}" in text


@pytest.mark.skipif(shutil.which("pdfinfo") is None, reason="pdfinfo is not installed")
def test_a_reader_outside_this_house_calls_the_papers_by_their_names(family, as_viewer, tmp_path):
    for paper, named in (("a4", "(A4)"), ("us-letter", "(letter)")):
        place = reverse("origin:file", args=[family["Lyra"].pk])
        file = tmp_path / f"{paper}.pdf"
        file.write_bytes(as_viewer.get(place, {"paper": paper}).content)
        told = subprocess.run(["pdfinfo", file], capture_output=True, text=True, check=True).stdout
        assert named in told
        assert "Tagged:          yes" in told


@pytest.mark.parametrize(
    ("unit", "first"), [("cm", PAPER_POINTS["a4"]), ("in", PAPER_POINTS["us-letter"])]
)
def test_the_paper_likelier_at_hand_comes_first(family, as_viewer, unit, first):
    """Where lengths are in inches letters are written on Letter: own assumption."""
    cast.the_program(length_unit=unit)
    said = as_viewer.get(reverse("origin:detail", args=[family["Lyra"].pk])).content.decode()
    assert (said.index("PDF on A4") < said.index("PDF on US Letter")) == (unit == "cm")
    bare = as_viewer.get(reverse("origin:file", args=[family["Lyra"].pk]))
    page = pypdf.PdfReader(BytesIO(bare.content)).pages[0]
    assert float(page.mediabox.width) == pytest.approx(first[0], abs=0.01)


def test_origin_file_knows_no_other_paper(family, as_viewer):
    place = reverse("origin:file", args=[family["Lyra"].pk])
    assert as_viewer.get(place, {"paper": "a5"}).status_code == 404
    assert as_viewer.get(place, {"paper": '../"'}).status_code == 404


def on_paper(client, animal):
    answer = client.get(reverse("origin:file", args=[animal.pk]))
    pages = pypdf.PdfReader(BytesIO(answer.content)).pages
    return " ".join(" ".join(one.extract_text() for one in pages).split())


def test_a_list_older_than_a_year_is_said_to_be_old_on_page_and_paper(family, as_viewer, viewer):
    """The list that comes along is of 25 November 2026."""
    old = "This list is more than a year old: it says what was known on 25 November 2026."
    place = reverse("origin:detail", args=[family["Lyra"].pk])
    for day, is_old in (("2027-11-25", False), ("2027-11-26", True)):
        with time_machine.travel(f"{day} 12:00:00Z", tick=False):
            as_viewer.force_login(viewer)  # a session does not last so long
            assert (old in as_viewer.get(place).content.decode()) == is_old
            assert (old in on_paper(as_viewer, family["Lyra"])) == is_old


def test_a_list_of_ones_own_that_cannot_be_read_is_said_and_the_other_used(
    family, as_viewer, tmp_path, settings
):
    settings.HOME = tmp_path
    (tmp_path / "listings.json").write_text("{", "utf-8")
    said = as_viewer.get(reverse("origin:detail", args=[family["Lyra"].pk])).content.decode()
    assert "The program&#x27;s own listings.json cannot be read as listings" in said
    assert "P. leopoldi: CITES Appendix II since 23 February 2023" in said
    assert "The list that came with the program is used." in on_paper(as_viewer, family["Lyra"])
    assert listings_in_use(tmp_path).entries == read_listings().entries


# ------------------------------------------------------------------------------------- countries


def test_the_country_of_a_founder_stands_with_it_and_with_the_listing_it_decides(family):
    for name in ("Altair", "Vega"):
        family[name].country = "Brazil"
        family[name].save()
    family["Deneb"].country = "Colombia"
    family["Deneb"].save()
    found = proof(family["Lyra"])
    assert station(found, "Altair").origin == "wild caught, from Brazil"
    assert station(found, "Mira").origin == "born here"
    (leopoldi, motoro) = found.flags
    assert leopoldi.endswith("Altair and Vega come from Brazil.")
    assert motoro.endswith("Deneb comes from Colombia.")
    assert not [words for words in found.gaps if words.startswith("The country")]


def test_a_founder_without_a_country_is_a_gap_that_is_said(family):
    family["Altair"].country = "Brazil"
    family["Altair"].save()
    gaps = proof(family["Mira"]).gaps
    assert (
        "The country that Vega comes from is not recorded; a listing can hold for the animals of "
        "one country alone." in gaps
    )


def test_a_paper_may_say_that_an_animal_was_acquired_before_its_species_was_listed(family):
    """CITES source code O, beside W, F, C and R."""
    paper = add_origin_paper(family["Vega"], by=None, today=TODAY, source_code="O")
    found = proof(family["Vega"])
    assert found.source_meanings == [
        ("O", "acquired before its species was listed, or before the rules held for it")
    ]
    assert origin.paper_words(paper).startswith("source code O")
