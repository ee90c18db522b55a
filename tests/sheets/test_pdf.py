"""A parentage sheet on paper: complete, two pages at most, open to screen readers."""

import os
import re
import shutil
import subprocess
from dataclasses import replace
from datetime import date
from io import BytesIO
from itertools import pairwise

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from breeding.animals.pictures.tree_svg import TreeNotDrawn
from breeding.sheets.contents.facts import (
    AnimalOfSheet,
    PersonOfTree,
    SheetFacts,
    TelephoneNumber,
    standard_promise,
)
from breeding.sheets.pdf import SheetTooLong, render_pdf

TREE = """digraph { splines=ortho
  a [label="Deneb\\nsire" shape=box]; b [label="Vega\\ndam" shape=ellipse]
  c [label="Lyra\\nfemale" shape=ellipse]; u [shape=point]; a -> u; b -> u; u -> c }"""
SIRE = PersonOfTree(
    "sire",
    "M-012",
    "Deneb",
    size="38 cm disc width",
    origin="P. motoro, born here 2022",
    portrait="sire",
    portrait_caption="drawing, 12 Sep 2026",
)
DAM = PersonOfTree(
    "dam",
    "M-007",
    "Vega",
    size="52 cm disc width",
    origin="P. leopoldi, bought 2019",
    portrait="dam",
    portrait_caption="photograph, 3 Oct 2026",
)
FACTS = SheetFacts(
    program_name="Lantern Street Rays",
    sheet_number="2026-017",
    issued_on=date(2026, 11, 25),
    issued_by="Jo",
    issued_for="the buyer of Lyra",
    animal=AnimalOfSheet(
        code="26-03-4",
        name="Lyra",
        sex="female",
        species="hybrid, P. motoro x P. leopoldi",
        born="3 June 2026",
        litter="seven pups, all alive",
        measurements="16.0 cm on 21 November 2026",
        feeding="tank worms and smelt, by itself since day 4",
        origin="bred here",
        portrait="animal",
        portrait_caption="photograph, 21 Nov 2026",
    ),
    sires=(SIRE,),
    dam=DAM,
    ancestry="13 of 14 possible ancestors are known",
    species_shares="expected 1/2 P. motoro and 1/2 P. leopoldi",
    inbreeding="at least 0 %, from 13 of 14 possible ancestors",
    generations="first cross of two lines",
    tree=TREE,
    tree_words="Family tree of Lyra: her parents are Deneb and Vega.",
    promise=standard_promise(is_hybrid=True),
    telephone_numbers=(TelephoneNumber("Emergency", "112"),),
    scientific_names=("P. motoro", "P. leopoldi"),
)
ALONE = SheetFacts(
    program_name="Lantern Street Rays",
    sheet_number="2026-018",
    issued_on=date(2026, 11, 25),
    issued_by="Sam",
    animal=AnimalOfSheet(code="B-044", sex="female"),
    sires=(PersonOfTree.unknown("sire"),),
    dam=PersonOfTree.unknown("dam"),
)


def photograph(seed, side_px=900):
    """As heavy as a photograph can be: noise, which hardly packs."""
    noise = np.random.default_rng(seed).integers(0, 255, (side_px, side_px, 3), np.uint8)
    out = BytesIO()
    Image.fromarray(noise).save(out, "JPEG", quality=90)
    return out.getvalue()


PICTURES = {key: photograph(seed, 300) for seed, key in enumerate(("sire", "dam", "animal"))}


def read(facts, pictures=PICTURES, **more):
    return PdfReader(BytesIO(render_pdf(facts, pictures, **more)))


def words_of(reader):
    """All text with its line breaks as spaces and without the places to break long words."""
    text = " ".join(page.extract_text() for page in reader.pages)
    return " ".join(text.replace("\u200b", "").split())


def structure(reader):
    """Every element of the tagged structure, in reading order."""

    def walk(node):
        node = node.get_object()
        if isinstance(node, list):
            for child in node:
                yield from walk(child)
        elif isinstance(node, dict) and "/S" in node:
            yield node
            if "/K" in node:
                yield from walk(node["/K"])

    return list(walk(reader.trailer["/Root"]["/StructTreeRoot"]["/K"]))


@pytest.fixture(scope="module")
def sheet():
    return read(FACTS)


def test_every_fact_stands_on_the_sheet(sheet):
    words = words_of(sheet)
    for part in (
        "Lantern Street Rays",
        "Parentage sheet 2026-017",
        "issued 25 November 2026 by Jo, for the buyer of Lyra",
        "Deneb, sire 38 cm disc width P. motoro, born here 2022 drawing, 12 Sep 2026",
        "Vega, dam 52 cm disc width P. leopoldi, bought 2019 photograph, 3 Oct 2026",
        "born 3 June 2026 litter seven pups, all alive",
        "disc width 16.0 cm on 21 November 2026",
        "Lyra 26-03-4, female, hybrid, P. motoro x P. leopoldi photograph, 21 Nov 2026",
        *(f"{label} {fact}" for label, fact in FACTS.rows),
        "Emergency: 112",
        FACTS.promise,
        FACTS.arrival,
        *(part.text for part in FACTS.cautions),
    ):
        assert part in words


def test_the_sire_stands_left_of_the_dam(sheet):
    sire, dam, animal, tree = (
        part["/A"][0]["/BBox"] for part in structure(sheet) if part["/S"] == "/Figure"
    )
    left, bottom, right, top = range(4)
    assert sire[right] < dam[left]
    assert sire[bottom] == dam[bottom]
    assert min(sire[bottom], dam[bottom]) > animal[top] > animal[bottom] > tree[top]


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_a_sheet_has_the_paper_asked_for_and_two_pages_at_most(paper):
    reader = read(FACTS, paper=paper)
    millimetres = [round(float(side) * 25.4 / 72) for side in reader.pages[0].mediabox[2:]]
    assert millimetres == {"a4": [210, 297], "us-letter": [216, 279]}[paper]  # ISO 216; ANSI A
    assert 1 <= len(reader.pages) <= 2


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_a_sheet_with_little_to_say_is_one_page(paper):
    reader = read(ALONE, {}, paper=paper)
    assert len(reader.pages) == 1
    assert "no hotter than 45 °C (113 °F)" in words_of(reader)


def test_a_missing_portrait_is_said_and_not_left_out():
    alone = words_of(read(ALONE, {}))  # its parents are unknown
    assert alone.count("no portrait") == 1
    assert alone.count("not on record") == 2
    assert words_of(read(FACTS, {"sire": PICTURES["sire"]})).count("no portrait") == 2


def test_what_is_not_recorded_or_known_is_said():
    words = words_of(read(ALONE, {}))
    assert "Feeds on not recorded" in words
    assert "unknown, sire" in words
    assert "unknown, dam" in words
    assert "write your local number here" in words


def test_the_file_is_tagged_titled_and_in_a_language(sheet):
    root = sheet.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] == True  # noqa: E712 - pypdf's own boolean
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"] == True  # noqa: E712
    assert sheet.metadata.title == "Parentage sheet 2026-017"
    assert sheet.metadata.author == "Jo"
    assert sheet.metadata.creation_date.date() == FACTS.issued_on
    described = root["/Metadata"].get_data().decode()
    assert "<pdfuaid:part>1</pdfuaid:part>" in described  # ISO 14289-1, clause 5


def test_every_picture_has_words(sheet):
    alternatives = [part.get("/Alt") for part in structure(sheet) if part["/S"] == "/Figure"]
    assert alternatives == [
        "Deneb, sire, from above: drawing, 12 Sep 2026.",
        "Vega, dam, from above: photograph, 3 Oct 2026.",
        "Lyra, female, from above: photograph, 21 Nov 2026.",
        "Family tree of Lyra: her parents are Deneb and Vega.",
    ]


def test_headings_step_down_one_at_a_time_and_the_table_has_headers(sheet):
    kinds = [part["/S"] for part in structure(sheet)]
    levels = [int(kind[2:]) for kind in kinds if re.fullmatch(r"/H\d", kind)]
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert kinds.count("/TH") == 2 * kinds.count("/Table")
    assert kinds.count("/TD") == 2 * len(FACTS.rows)


def test_the_same_facts_give_the_same_bytes():
    assert render_pdf(FACTS, PICTURES) == render_pdf(FACTS, dict(reversed(PICTURES.items())))


def test_four_heavy_photographs_stay_under_one_megabyte():
    sires = tuple(replace(SIRE, portrait=f"s{n}", share="50 %") for n in range(2))
    pictures = {key: photograph(seed) for seed, key in enumerate(("s0", "s1", "dam", "animal"))}
    assert min(map(len, pictures.values())) > 400_000
    content = render_pdf(replace(FACTS, sires=sires), pictures)
    assert len(content) < 1_000_000


def test_pictures_on_the_sheet_carry_no_metadata():
    exif = Image.Exif()
    exif[0x013B] = "Nobody Inparticular"
    out = BytesIO()
    Image.new("RGB", (300, 300), "brown").save(out, "JPEG", exif=exif)
    assert b"Nobody Inparticular" in out.getvalue()
    assert b"Nobody Inparticular" not in render_pdf(FACTS, {**PICTURES, "dam": out.getvalue()})


@pytest.mark.parametrize(
    ("number", "spelled"), [(2, "two"), (3, "three"), (4, "four"), (6, "six"), (7, "7")]
)
def test_several_possible_sires_all_stand_with_their_shares(number, spelled):
    sires = tuple(
        PersonOfTree("possible sire", f"M-{n}", f"Star {n}", share=f"{10 + n} %")
        for n in range(number)
    )
    reader = read(replace(FACTS, sires=sires))
    words = words_of(reader)
    assert f"the sire is one of these {spelled}" in words
    for n in range(number):
        assert f"Star {n} possible sire, {10 + n} %" in words
    assert len(reader.pages) <= 2


ODD = '#panic("x") $a$ *b* _c_ @d <e> "f" \\u{41} `g` ] // h /* ~ = \' & %'


def test_signs_that_mean_something_to_the_typesetter_stay_signs():
    animal = replace(FACTS.animal, name=ODD, species=ODD)
    reader = read(
        replace(FACTS, program_name=ODD, animal=animal, dam=replace(DAM, name=ODD), tree_words=ODD)
    )
    assert words_of(reader).count(ODD) >= 4
    assert reader.metadata.title == "Parentage sheet 2026-017"


@pytest.mark.parametrize(
    "name", ["W" * 80, "Long Name " * 8, "Ząbek Ωμέγα Звезда ½ ♂", "a\nb", "\x07"]
)
def test_long_and_foreign_names_keep_to_two_pages(name):
    reader = read(
        replace(FACTS, animal=replace(FACTS.animal, name=name), dam=replace(DAM, name=name))
    )
    assert len(reader.pages) <= 2
    assert "45 °C (113 °F)" in words_of(reader)


def test_a_letter_that_no_font_holds_becomes_a_question_mark():
    private = "\U0010fffd"  # never given a shape: the last private use plane
    assert "Ly?ra" in words_of(
        read(replace(FACTS, animal=replace(FACTS.animal, name=f"Ly{private}ra")))
    )


def test_long_facts_run_on_to_the_second_page():
    words = words_of(reader := read(replace(FACTS, inbreeding="kin and kin again " * 120)))
    assert words.count("kin and kin again") == 120
    assert len(reader.pages) == 2


def test_words_that_fit_on_no_two_pages_are_refused_with_their_length():
    with pytest.raises(SheetTooLong, match=r"\"kin and kin again .* has 36000 characters"):
        render_pdf(replace(FACTS, inbreeding="kin and kin again " * 2000), PICTURES)


def test_a_tall_tree_is_given_room_from_the_portraits_and_stays_legible():
    steps = "; ".join(f"a{n} -> a{n + 1}" for n in range(9))
    tall = read(replace(FACTS, tree=f"digraph {{ {steps} }}"))
    portrait, _, _, tree, *_ = (
        part["/A"][0]["/BBox"] for part in structure(tall) if part["/S"] == "/Figure"
    )
    assert tree[3] - tree[1] > 105 / 25.4 * 72 * 0.9
    assert portrait[3] - portrait[1] > 34 / 25.4 * 72 * 0.9
    assert len(tall.pages) == 2


def test_a_sheet_without_a_tree_is_a_sheet(sheet):
    figures = [part for part in structure(read(replace(FACTS, tree=""))) if part["/S"] == "/Figure"]
    assert len(figures) == 3


def test_a_tree_may_be_dot_or_svg_already_drawn():
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 60">'
        '<text x="20" y="30" font-family="Helvetica,sans-Serif" font-size="10">Kept Tree</text>'
        "</svg>"
    )
    assert "Kept Tree" in words_of(read(replace(FACTS, tree=svg)))
    with pytest.raises(TreeNotDrawn):
        render_pdf(replace(FACTS, tree="digraph { a -> "), PICTURES)


def test_another_paper_is_refused():
    with pytest.raises(ValueError, match="'a3' is no paper: only a4, us-letter"):
        render_pdf(FACTS, PICTURES, paper="a3")


def test_a_picture_that_cannot_be_read_is_named():
    with pytest.raises(ValueError, match="picture 'dam' cannot be read"):
        render_pdf(FACTS, {**PICTURES, "dam": b"no picture"})


def test_another_reader_finds_the_same_words(tmp_path):
    if shutil.which("pdftotext") is None:
        if "pdftotext" in os.environ.get("RAYWARD_REQUIRE", "").split():
            pytest.fail("RAYWARD_REQUIRE asks for pdftotext and there is none on the PATH.")
        print("left out: there is no pdftotext on the PATH")
        pytest.skip("there is no pdftotext on the PATH")
    file = tmp_path / "sheet.pdf"
    file.write_bytes(render_pdf(FACTS, PICTURES))
    found = subprocess.run(
        ["pdftotext", str(file), "-"], capture_output=True, text=True, check=True
    )
    words = " ".join(found.stdout.split())
    for part in ("Parentage sheet 2026-017", "Deneb, sire", "Vega, dam", "45 °C (113 °F)", "Lyra"):
        assert part in words


# ------------------------------------------------------------------------- a page one would frame


def first_page(facts, **more):
    return " ".join(read(facts, **more).pages[0].extract_text().split())


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_page_one_shows_both_parents_large_the_young_and_what_it_is(paper):
    reader = read(FACTS, paper=paper)
    assert len(reader.pages) == 2
    sire, dam, animal, _ = (
        part["/A"][0]["/BBox"] for part in structure(reader) if part["/S"] == "/Figure"
    )
    millimetres = [round((box[2] - box[0]) * 25.4 / 72, 1) for box in (sire, dam, animal)]
    assert millimetres[0] == millimetres[1] == {"a4": 70.0, "us-letter": 67.5}[paper]
    assert millimetres[2] > 40
    words = first_page(FACTS, paper=paper)
    for part in ("born 3 June 2026", "female", "16.0 cm on 21 November 2026", "signed by"):
        assert part in words


def test_what_rests_on_chances_and_the_care_are_not_on_page_one():
    facts = replace(FACTS, spread="how chromosomes fall", tree_words="")
    assert "chromosomes" in words_of(read(facts))
    page = first_page(facts)
    assert "chromosomes" not in page
    assert "expected" not in page
    assert "venomous" not in page


def test_the_breeder_is_reached_by_what_stands_on_page_one():
    facts = replace(
        FACTS, breeder_address="4 Lantern Street\nHarbour", breeder_telephone="0000 000 000"
    )
    page = first_page(facts)
    assert "Lantern Street Rays 4 Lantern Street Harbour Telephone 0000 000 000" in page
    assert "Telephone" not in first_page(FACTS)


def test_an_animal_of_unknown_parents_stands_large_itself():
    alone = replace(
        ALONE, animal=replace(ALONE.animal, portrait="animal", portrait_caption="drawing")
    )
    (animal,) = (
        part["/A"][0]["/BBox"]
        for part in structure(read(alone, {"animal": PICTURES["animal"]}))
        if part["/S"] == "/Figure"
    )
    assert (animal[2] - animal[0]) * 25.4 / 72 > 65
