"""A sheet's facts are kept as issued and say what is not known."""

import json
from dataclasses import replace
from datetime import date

import pytest

from breeding.sheets.contents.facts import (
    AnimalOfSheet,
    Passage,
    PersonOfTree,
    SheetFacts,
    TelephoneNumber,
    standard_arrival,
    standard_promise,
)

PLAIN = SheetFacts(
    program_name="Lantern Street Rays",
    sheet_number="2026-017",
    issued_on=date(2026, 11, 25),
    issued_by="Jo",
    animal=AnimalOfSheet(code="26-03-4", sex="male"),
    sires=(PersonOfTree("sire", "M-012", "Deneb"),),
    dam=PersonOfTree.unknown("dam"),
)
RICH = replace(
    PLAIN,
    sires=(
        PersonOfTree("possible sire", "M-012", "Deneb", share="60 %", portrait="sire-1"),
        PersonOfTree("possible sire", "M-013", 'Algol "the #1" ½', share="40 %"),
    ),
    telephone_numbers=(TelephoneNumber("Emergency", "112"),),
    scientific_names=("P. motoro",),
    tree="<svg viewBox='0 0 9 9'/>",
)


@pytest.mark.parametrize("facts", [PLAIN, RICH])
def test_facts_written_and_read_again_are_the_same(facts):
    assert SheetFacts.from_json(facts.to_json()) == facts


def test_the_same_facts_are_written_to_the_same_text():
    assert RICH.to_json() == SheetFacts.from_json(RICH.to_json()).to_json()


def test_an_issued_sheet_keeps_its_cautions_when_the_standard_ones_change():
    row = json.loads(PLAIN.to_json())
    row["cautions"] = [{"heading": "The spine", "text": "As it was worded then."}]
    (kept,) = SheetFacts.from_json(json.dumps(row)).cautions
    assert kept.text == "As it was worded then."


def test_what_nobody_wrote_down_says_so():
    rows = dict(PLAIN.rows)
    assert rows["Feeds on"] == rows["Condition"] == rows["Born"] == "not recorded"
    assert PLAIN.dam.shown_name == "unknown"


def test_an_animal_without_a_name_goes_by_its_code():
    assert PLAIN.animal.shown_name == "26-03-4"
    assert replace(PLAIN.animal, name="Lyra").shown_name == "Lyra"
    assert PersonOfTree("sire", "M-012").shown_name == "M-012"


def test_every_sheet_carries_the_cautions_without_being_asked():
    text = " ".join(part.text for part in PLAIN.cautions)
    for words in (
        "no hotter than 45 °C (113 °F)",
        "See a doctor for every sting",
        "Release nothing into the wild",
        "Ask the authority where you live",
        "emergency services at once",
    ):
        assert words in text
    assert [part.is_urgent for part in PLAIN.cautions].count(True) == 1


def test_a_hybrid_is_declared_and_its_looks_are_not_promised():
    words = standard_promise(is_hybrid=True)
    assert "is a hybrid" in words
    assert "Nobody can promise" in words
    assert "hybrid" not in standard_promise(is_hybrid=False)


def test_advice_on_arrival_follows_the_length_of_the_journey():
    assert "do not drip" in standard_arrival(is_long_journey=True)
    assert "slow drops" in standard_arrival(is_long_journey=False)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"issued_on": "25.11.2026"}, r"sheet: issued_on is a day like 2026-11-25, not '25\.11"),
        ({"issued_by": 7}, "sheet: issued_by is text, not 7"),
        ({"dam": "Vega"}, "sheet: dam is a group of facts, not 'Vega'"),
        ({"sires": "Deneb"}, "sheet: sires is a list, not 'Deneb'"),
        ({"sires": [{"role": "sire", "is_known": "yes"}]}, "sires 1: is_known is true or false"),
        ({"sires": []}, "names a sire"),
        ({"sheet_number": " "}, "needs a number"),
        ({"price": "9"}, "'price', which no sheet has"),
        ({"version": 99}, "of version 1"),
    ],
)
def test_facts_that_do_not_fit_are_named(change, said):
    row = {**json.loads(PLAIN.to_json()), **change}
    with pytest.raises(ValueError, match=said):
        SheetFacts.from_json(json.dumps(row))


def test_a_missing_fact_is_named():
    row = json.loads(PLAIN.to_json())
    del row["animal"]["sex"]
    with pytest.raises(ValueError, match="sheet: animal lacks sex"):
        SheetFacts.from_json(json.dumps(row))


def test_what_is_no_json_is_refused():
    with pytest.raises(ValueError, match="no facts of a sheet"):
        SheetFacts.from_json("{")


def test_facts_are_written_as_text_that_a_person_can_read_and_compare():
    lines = RICH.to_json().splitlines()
    assert lines[:2] == ["{", ' "ancestry": "not recorded",']
    names = [line.split('"')[1] for line in lines if line.startswith(' "')]
    assert names == sorted(names)
    assert ' "version": 1,' in lines
    assert "½" in RICH.to_json()


@pytest.mark.parametrize("text", ["[]", "7", "{}", '{"version": 2}'])
def test_what_is_no_group_of_facts_of_this_version_is_refused(text):
    with pytest.raises(ValueError, match="no facts of a sheet of version 1"):
        SheetFacts.from_json(text)


def test_what_was_not_thought_of_yet_may_be_missing():
    row = json.loads(PLAIN.to_json())
    for name in ("spread", "water", "corrects", "telephone_numbers", "language", "promise"):
        del row[name]
    del row["animal"]["treatments"], row["dam"]["share"]
    assert SheetFacts.from_json(json.dumps(row)) == PLAIN


@pytest.mark.parametrize("name", ["issued_on", "sires", "dam", "sheet_number"])
def test_what_every_sheet_has_may_not_be_missing(name):
    row = json.loads(PLAIN.to_json())
    del row[name]
    with pytest.raises(ValueError, match=f"sheet lacks {name}"):
        SheetFacts.from_json(json.dumps(row))


def test_a_parent_is_known_unless_said_otherwise_and_goes_by_its_name():
    assert PLAIN.sires[0].shown_name == "Deneb"
    assert PersonOfTree.unknown("dam") == PersonOfTree("dam", is_known=False)
    assert PersonOfTree("sire", "M-012", "Deneb", is_known=False).shown_name == "unknown"


def test_the_emergency_alone_is_urgent():
    urgent = {part.heading: part.is_urgent for part in PLAIN.cautions}
    assert [heading for heading, is_urgent in urgent.items() if is_urgent] == [
        "Call the emergency services at once"
    ]
    assert not Passage("The law", "Ask.").is_urgent


def test_a_plain_sheet_promises_as_for_no_hybrid_and_advises_as_for_a_short_journey():
    assert [(part.heading, part.text) for part in PLAIN.advice] == [
        ("What nobody can promise", standard_promise(is_hybrid=False)),
        ("On arrival", standard_arrival(is_long_journey=False)),
    ]
    longer = replace(PLAIN, first_weeks="Test the water daily.")
    assert longer.advice[-1] == Passage("The first weeks", "Test the water daily.")


@pytest.mark.parametrize(
    ("labels", "has_one"),
    [((), False), (("Poison centre",), False), (("Emergency", "Poison centre"), True)],
)
def test_only_the_number_of_the_emergency_services_is_an_emergency_number(labels, has_one):
    numbers = tuple(TelephoneNumber(label, "112") for label in labels)
    assert replace(PLAIN, telephone_numbers=numbers).has_emergency_number is has_one


def test_the_table_of_facts_goes_from_life_to_descent():
    assert [heading for heading, _ in PLAIN.rows] == [
        *("Born", "Litter", "Disc width", "Feeds on", "Condition", "Known by"),
        *("Species", "Generation", "Ancestry", "Inbreeding", "Origin"),
    ]
    full = replace(
        PLAIN,
        animal=replace(PLAIN.animal, treatments="none", born=""),
        water="pH 7",
        spread="half of them near it",
    )
    assert full.rows_of_life[0] == ("Born", "")  # a row of the first sheets is never left out
    assert full.rows_of_life[5:7] == (("Treatments", "none"), ("Its water", "pH 7"))
    assert full.rows_of_descent[1] == ("Spread", "half of them near it")
