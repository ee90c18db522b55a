"""A sheet's words come from the records: what is there, and what is not."""

import datetime
import json
from fractions import Fraction
from io import BytesIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from PIL import Image
from pypdf import PdfReader

from breeding.animals import services as animals
from breeding.animals.models import Strain
from breeding.litters.services import PupFacts, record_birth
from breeding.sheets import services
from breeding.sheets.contents.draft import draft_sheet
from breeding.sheets.contents.facts import SheetFacts
from breeding.sheets.pdf import render_pdf
from tests import cast

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how facts become words")]
ON = cast.day("2026-11-25")


def draft(animal, **more):
    return draft_sheet(animal, program=cast.the_program(), by=None, on=ON, **more)


def rows(animal):
    return dict(draft(animal).facts.rows)


def portrait(animal, **more):
    out = BytesIO()
    Image.new("RGB", (60, 60), "brown").save(out, "JPEG")
    out.seek(0)
    animals.add_photograph(animal, out, by=None, **more)


# ------------------------------------------------------------------- what is not on record


def test_an_animal_of_which_nothing_is_known(owner):
    facts = draft(cast.ray("Rigel")).facts
    assert dict(facts.rows) == {
        "Born": "not recorded",
        "Litter": "not recorded",
        "Disc width": "not recorded",
        "Feeds on": "not recorded",
        "Condition": "not recorded",
        "Treatments": "not recorded",
        "Species": "species not recorded",
        "Generation": "generation in captivity unknown, because not every line is on record back "
        "to the wild",
        "Ancestry": "0 of 14 possible ancestors in three generations are known; neither parent is "
        "known",
        "Inbreeding": "cannot be told while both parents are unknown: at least 0 %, from 0 of 14 "
        "possible ancestors in three generations",
        "Origin": "not recorded",
        "Known by": "markings not described",
    }
    assert facts.animal.sex == "sex unknown"
    assert [facts.dam.shown_name, *(sire.shown_name for sire in facts.sires)] == ["unknown"] * 2
    assert facts.promise.startswith("Its species is not on record, so it may be a hybrid.")
    assert "nobody can promise what this animal or its offspring will look like" in facts.promise


def test_possible_sires_stand_each_with_his_share_and_an_unknown_male_with_the_rest(owner):
    vega = cast.female("Vega", pure="leopoldi")
    altair, rigel = (cast.male(name, pure="leopoldi") for name in ("Altair", "Rigel"))
    mira = cast.female(
        "Mira", dam=vega, possible_sires=((altair, Fraction(1, 2)), (rigel, Fraction(1, 4)))
    )
    portrait(altair)
    found = draft(mira)
    shown = [(one.role, one.shown_name, one.share) for one in found.facts.sires]
    assert shown == [
        ("possible sire", "Altair", "50 %"),
        ("possible sire", "Rigel", "25 %"),
        ("possible sire", "unknown", "25 %"),
    ]
    assert set(found.pictures) == {"sire-1"}
    words = dict(found.facts.rows)
    assert words["Species"] == (
        "7/8 P. leopoldi expected; the last eighth came through an unknown male (the sire of Mira)"
    )
    assert words["Inbreeding"].startswith(
        "0 % as far as is known, whoever of the possible sires it was: no common ancestor"
    )
    assert "possible sires Altair and Rigel" in found.facts.tree_words
    assert "An eighth of its ancestry is of unknown species, so it may be a hybrid." in (
        found.facts.promise
    )


def test_a_hybrid_with_an_unknown_share(owner):
    deneb = cast.male(sire=cast.male("Altair", pure="motoro"), dam=cast.female("Izar"))
    mira = cast.female(sire=deneb, dam=cast.female("Vega", pure="leopoldi"))
    facts = draft(mira).facts
    assert facts.animal.species == "hybrid of P. leopoldi and P. motoro, in part of unknown species"
    assert dict(facts.rows)["Species"] == (
        "1/2 P. leopoldi and 1/4 P. motoro expected; the last quarter came through Izar, whose "
        "species is not recorded"
    )
    assert facts.promise.startswith(
        "A quarter of its ancestry is of unknown species. This animal is a hybrid."
    )
    assert "Nobody can promise what it or its offspring will look like." in facts.promise
    law = next(part.text for part in facts.cautions if part.heading == "The law")
    assert "P. leopoldi: CITES Appendix II since 23 February 2023, as far as known on" in law
    assert "P. motoro: CITES Appendix III" in law
    assert {"P. leopoldi", "P. motoro"} <= set(facts.scientific_names)


def test_a_strain_promises_nothing(owner):
    strain = Strain.objects.create(name="Paper Lantern")
    facts = draft(cast.female(pure="motoro", strain=strain)).facts
    assert facts.animal.strain == "strain Paper Lantern"
    assert facts.animal.species == "Potamotrygon motoro (ocellate river stingray)"
    assert (
        "Paper Lantern is a strain: what its line has looked like so far binds neither this animal "
        "nor its young."
    ) in facts.promise


# ------------------------------------------------------------------------ what is on record


@pytest.fixture
def pup(owner):
    vega = cast.female("Vega", pure="motoro", origin="wild", born_on=cast.day("2018-01-01"))
    deneb = cast.male("Deneb", pure="motoro", origin="wild", born_on=cast.day("2018-01-01"))
    litter = record_birth(
        dam=vega,
        born_on=cast.day("2026-06-03"),
        pups=[
            PupFacts(sex="M", disc_width_mm=89, markings="ring behind the eye"),
            PupFacts(sex="F"),
            PupFacts(alive=False),
        ],
        parents=animals.Parents(deneb, vega),
        today=ON,
        by=None,
    )
    return litter.pups.get(number=1).animal


def test_birth_litter_sizes_condition_and_origin(pup):
    animals.add_measurement(
        pup, by=None, on=cast.day("2026-11-21"), disc_width_mm=152, weight_g=250, condition=3
    )
    words = rows(pup)
    assert words["Born"] == "3 June 2026"
    assert words["Litter"].endswith("of three pups, two born alive; this one is number 1")
    assert words["Disc width"] == (
        "15.2 cm on 21 November 2026, 8.9 cm at birth, weight 250 g on 21 November 2026"
    )
    assert words["Condition"] == "3 of 5 on 21 November 2026 (1 thin, 3 ideal, 5 over-fed)"
    assert words["Origin"] == "born here; founders Deneb and Vega wild caught"
    assert words["Generation"] == "first generation in captivity (a parent came from the wild)"
    assert words["Known by"] == "ring behind the eye"


def test_sizes_follow_the_units_of_the_program(pup):
    cast.the_program(length_unit="in", weight_unit="oz")
    animals.add_measurement(
        pup, by=None, on=cast.day("2026-11-21"), disc_width_mm=152, weight_g=250
    )
    assert rows(pup)["Disc width"] == (
        "6.0 in on 21 November 2026, 3.5 in at birth, weight 8.8 oz on 21 November 2026"
    )


def test_a_withdrawn_litter_is_not_on_the_sheet(pup):
    litter = pup.pup_rows.get().litter
    litter.withdrawn_at = datetime.datetime(2026, 11, 1, tzinfo=datetime.UTC)
    litter.save()
    assert rows(pup)["Litter"] == "not recorded"


def test_portraits_are_dated_and_a_drawing_is_called_one(pup):
    sire, dam = pup.sire, pup.dam
    portrait(sire, taken_on=cast.day("2026-09-12"), is_drawing=True)
    portrait(dam)
    animals.add_measurement(dam, by=None, on=cast.day("2026-10-03"), disc_width_mm=520)
    facts = draft(pup).facts
    assert facts.sires[0].portrait_caption == "drawing, 12 Sep 2026"
    assert facts.dam.portrait_caption == "photograph, date not recorded"
    assert facts.dam.size == "52.0 cm disc width, 3 Oct 2026"
    assert facts.sires[0].size == "size not recorded"
    assert facts.dam.origin == "P. motoro, wild caught, born 2018"
    assert (facts.animal.portrait, facts.animal.portrait_caption) == ("", "")


def test_telephone_numbers_come_from_the_settings(owner):
    mira = cast.female()
    assert draft(mira).facts.telephone_numbers == ()
    program = cast.the_program(
        emergency_number="112", poison_number="555 0199", veterinarian="Dr. Tide, 555 0101"
    )
    found = draft_sheet(mira, program=program, by=None, on=ON).facts.telephone_numbers
    assert [(one.label, one.number) for one in found] == [
        ("Emergency", "112"),
        ("Poison centre", "555 0199"),
    ]


def test_without_an_emergency_number_a_line_is_left_to_write_it_on(owner):
    program = cast.the_program(poison_number="555 0199", veterinarian="Dr. Tide, 555 0101")
    facts = draft_sheet(cast.female(), program=program, by=None, on=ON).facts
    assert not facts.has_emergency_number
    text = "".join(page.extract_text() for page in PdfReader(BytesIO(render_pdf(facts, {}))).pages)
    assert "write your local number here" in text
    assert "555 0199" in text


def test_the_tree_says_in_its_title_what_it_shows_and_leads_nowhere(pup):
    facts = draft(pup).facts
    assert facts.tree.startswith("<svg")
    assert facts.tree_words in facts.tree
    assert "href" not in facts.tree


# ------------------------------------------------------------------------------ kept as issued


def test_the_page_of_an_issued_sheet_asks_only_whether_it_still_agrees(pup, as_viewer):
    portrait(pup.sire)
    sheet = services.issue_sheet(pup, by=None, on=ON)
    with CaptureQueriesContext(connection) as asked:
        answer = as_viewer.get(sheet.get_absolute_url())
    assert "Deneb" in answer.content.decode()
    assert len(asked) < 15
    compared = [one["sql"] for one in asked if 'FROM "animals_' in one["sql"]]
    assert len(compared) == 4  # itself, its dam, its sire and the possible ones, as on record now


# ------------------------------------------------------------------------------- the breeder


def test_the_program_s_address_and_telephone_stand_on_a_new_sheet_and_not_on_one_issued_before(pup):
    before = services.issue_sheet(pup, by=None, on=ON)
    cast.the_program(address="4 Lantern Street\nHarbour", telephone="0000 000 000")
    after = services.issue_sheet(pup, by=None, on=ON)
    lines = ("4 Lantern Street", "Harbour", "Telephone 0000 000 000")
    assert after.issued_facts.breeder_lines == lines
    before.refresh_from_db()
    assert before.issued_facts.breeder_lines == ()


def test_a_sheet_from_before_there_was_an_address_still_reads(pup):
    facts = services.issue_sheet(pup, by=None, on=ON).facts
    for name in ("breeder_address", "breeder_telephone", "parents_are_kin"):
        del facts[name]
    old = SheetFacts.from_json(json.dumps(facts))
    assert (old.breeder_lines, old.parents_are_kin) == ((), False)


def test_parents_who_are_kin_are_said_to_be(owner):
    sire = cast.male("Deneb")
    daughter = cast.female("Vega", sire=sire, dam=cast.female("Mira"))
    assert draft(cast.female("Lyra", sire=sire, dam=daughter)).facts.parents_are_kin
    assert not draft(daughter).facts.parents_are_kin


@pytest.mark.parametrize(
    ("base", "has_code"),
    [
        ("https://rays.example/", True),
        ("http://192.168.1.20:8000/", False),
        ("http://localhost/", False),
    ],
)
def test_a_code_that_nobody_outside_could_open_is_not_printed(pup, base, has_code):
    sheet = services.issue_sheet(pup, by=None, on=ON, base_address=base)
    text = "".join(page.extract_text() for page in PdfReader(sheet.file.path).pages)
    assert ("The code leads to" in " ".join(text.split())) is has_code
