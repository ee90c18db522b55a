"""The cautions say what they must, and never what they must not."""

import re

import pytest

from breeding.program.reference.cautions import cautions

ALL = " ".join(caution.full for caution in cautions().values())


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("spine", "no hotter than 45 °C (113 °F)"),
        ("spine", "on the uninjured limb"),
        ("spine", "See a doctor for every sting"),
        ("spine", "Do not pull out a spine"),
        ("spine", "30 minutes at a time with 30 minutes of rest between"),
        ("spine", "Take rings and bands off"),
        ("spine", "No ice, no cutting, no sucking"),
        ("spine", "Go back to the doctor when redness spreads"),
        ("medicines", "Copper, organophosphates and formalin"),
        ("medicines", "A veterinarian decides on every medicine and every dose."),
        ("first_weeks", "quarantine for 30 days at least"),
        ("arrival", "into a tub, not into the tank"),
        ("law", "come before anything written here"),
        ("emergency", "chest, belly, neck, face or groin"),
        ("emergency", "a child"),
        ("law", "restricted or forbidden"),
        ("law", "Ask the authority where you live"),
        ("animals", "Release nothing into the wild."),
        ("animals", "aquatic veterinarian"),
    ],
)
def test_what_a_sheet_must_say_is_on_the_sheet(key, words):
    assert words in cautions()[key].short


def test_every_sentence_names_what_it_rests_on():
    for caution in cautions().values():
        for sentence in caution.sentences:
            assert sentence.source.strip(), sentence.text
            assert sentence.text.endswith(".")


def test_boiling_is_never_written_and_no_temperature_is_above_45():
    assert "boil" not in ALL.lower()
    assert {float(found) for found in re.findall(r"(\d+) °C", ALL)} == {45}
    assert {float(found) for found in re.findall(r"(\d+) °F", ALL)} == {113}  # 45 * 9 / 5 + 32


def test_nothing_is_said_to_be_legal():
    assert not re.search(r"\b(is legal|are legal|is permitted|may be kept|you may keep)\b", ALL)
    assert "Nothing here says that anything is allowed." in ALL


def test_the_law_and_licensed_people_are_named_before_everything_else_of_the_law():
    assert cautions()["law"].sentences[0].text.startswith("The law where you live, and what a doc")


def test_before_a_journey_it_is_said_who_does_not_travel_and_how_a_ray_is_packed():
    words = cautions()["shipping"].full
    for said in ("pregnant female", "24 to 48 hours", "One ray a bag", "Sheathe the spine"):
        assert said in words


def test_the_care_page_says_more_than_the_sheet():
    spine = cautions()["spine"]
    assert "the skin around the wound can die" in spine.full
    assert "the skin around the wound can die" not in spine.short
