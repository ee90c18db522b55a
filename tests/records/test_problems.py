"""Every problem of a table is said by line, with the value and what is allowed."""

import pytest

from breeding.animals.models import Animal, Strain
from tests import cast
from tests.records.tables import choose, paste, problems_of, proposal_of, write

HEADER = "code,name,sire,dam,sex,born,species,state,since,died,dw,weight\n"


def problems(client, *rows, header="code,sire,dam,sex,born"):
    return problems_of(paste(client, "\n".join([header, *rows])))


def test_a_code_twice_in_the_table(as_keeper):
    assert problems(as_keeper, "A,,,,", "B,,,,", "A,,,,") == [
        "Lines 2 and 4, code: The code A is given more than once; no two animals share one "
        "(lines 2, 4)."
    ]


def test_a_code_that_is_on_record(as_keeper, keeper):
    cast.female("Mira", code="A")
    assert problems(as_keeper, "A,,,,") == [
        "Line 2, code: The code A is taken already, by Mira; it is on record. Another animal of "
        "that code can come in with something put before the codes."
    ]


def test_a_parent_that_is_nowhere(as_keeper):
    assert problems(as_keeper, "Deneb,,,,", "B,Denbe,,,") == [
        "Line 3, sire: “Denbe” is neither a row of this table nor a code on record (is Deneb "
        "meant?); give it a row, correct the name, or leave it empty when the parent is unknown."
    ]


def test_a_parent_named_by_the_call_name_it_has_on_record(as_keeper, keeper):
    cast.male("Deneb", code="R7")
    assert "(on record, Deneb has the code R7)" in problems(as_keeper, "B,Deneb,,,")[0]


def test_a_parent_on_record_is_found_by_code_and_said(as_keeper, keeper):
    cast.male("Deneb", code="R7")
    answer = paste(as_keeper, "code,sire\nB,R7\n")
    assert not problems_of(answer)
    assert "On record already, and taken as parents: Deneb (R7)." in proposal_of(answer).notes
    write(as_keeper)
    assert Animal.objects.get(code="B").sire.name == "Deneb"


def test_a_loop_is_written_out_with_names_and_lines(as_keeper):
    header = "code,name,sex,sire,dam"
    found = problems(
        as_keeper, "R0,Vega,,,", "R1,Mira,F,R2,", "R3,Altair,,,", "R2,Deneb,M,,R1", header=header
    )
    assert found == [
        "Lines 3 and 5, sire: Mira is among her own ancestors: Mira, Deneb, Mira (lines 3, 5)."
    ]


def test_two_loops_are_both_written_out(as_keeper):
    found = problems(as_keeper, "A,B,,,", "B,C,,,", "C,A,,,", "D,E,,,", "E,D,,,", "F,A,,,")
    assert found == [
        "Lines 2, 3 and 4, sire: A is among his own ancestors: A, B, C, A (lines 2, 3, 4).",
        "Lines 5 and 6, sire: D is among his own ancestors: D, E, D (lines 5, 6).",
    ]


def test_an_animal_as_its_own_parent(as_keeper):
    assert problems(as_keeper, "A,A,,,") == ["Line 2, sire: A cannot be its own sire."]


def test_an_animal_named_as_sire_and_as_dam(as_keeper):
    found = problems(as_keeper, "A,,,,", "B,A,,,", "C,,A,,")
    assert found == [
        "Lines 3 and 4, sire: A is named both as a sire and as a dam; an animal is one or the "
        "other (lines 3, 4)."
    ]


def test_the_same_animal_as_both_parents_of_one(as_keeper):
    assert problems(as_keeper, "A,,,,", "B,A,A,,") == [
        "Line 3, dam: A is given as sire and as dam; the parents are two animals."
    ]


def test_a_part_against_the_one_it_has_on_record(as_keeper, keeper):
    mother = cast.ray("Vega", code="R7")
    cast.ray("Mira", code="R8", dam=mother)
    assert problems(as_keeper, "B,R7,,,") == [
        "Line 2, sire: Vega is named as a sire, but on record Vega (R7) is the dam of other "
        "animals; an animal is one or the other."
    ]


def test_a_sex_against_its_use(as_keeper):
    assert problems(as_keeper, "A,,,F,", "B,A,,,") == [
        "Line 3, sire: A is recorded as a female; a sire must be male."
    ]


def test_a_parent_born_after_its_young(as_keeper):
    assert problems(as_keeper, "A,,,,2020-05-01", "B,A,,,2019-06") == [
        "Line 3, sire: A was born 1 May 2020, not before B (June 2019); a sire is older than its "
        "young."
    ]


def test_a_sire_long_dead_and_a_dam_dead_before_the_birth(as_keeper):
    header = "code,sire,dam,born,died on"
    rows = ("A,,,,2020-01-01", "B,,,,2020-01-01", "C,A,B,2021-01-01,")
    found = problems(as_keeper, *rows, header=header)
    assert [one.split(",")[1].split(":")[0] for one in found] == [" sire", " dam"]
    assert all("died on 1 January 2020, before C was born" in one for one in found)


@pytest.mark.parametrize(
    ("column", "value", "words"),
    [
        ("sex", "both", "Line 2, sex: “both” is no sex; write F, M or U."),
        ("born", "2024-13-01", "“2024-13-01” is not a day of the calendar"),
        ("born", "2099-01-01", "“2099-01-01” is still to come"),
        ("species", "goldfish", "“goldfish” is not a species on record; write Potamotrygon"),
        ("species", "motoro:2/3|leopoldi:2/3", "has shares that make 4/3"),
        ("species", "motoro:1/2|P. motoro:1/2", "“P. motoro” is given twice"),
        ("state", "elsewhere", "is no state; write here, on loan, left or died."),
        ("origin", "moon", "is no origin; write wild, captive bred elsewhere, born here or"),
        ("since", "2024-05", "“2024-05” is not a full date"),
        ("since", "2024-05-03", "says since when, but the row has no state"),
        ("dw", "wide", "“wide” is not a number"),
        ("dw", "999", "allowed is 1 to 300 cm"),
        ("weight", "5 stone", "is not a weight; write a number, or one with g, kg, oz or lb"),
        ("name", "x" * 70, "“" + "x" * 60 + "…”: ensure this value has at most 60 characters"),
    ],
)
def test_a_value_that_cannot_be_is_named_with_what_is_allowed(column, value, words, as_keeper):
    found = problems(as_keeper, f'A,"{value}"', header=f"code,{column}")
    assert len(found) == 1
    assert words in found[0]
    assert found[0].startswith("Line 2, ")


def test_a_death_against_a_state(as_keeper):
    found = problems(as_keeper, "A,here,2024-05-03", header="code,state,died")
    assert "is a day of death, but the state of the animal is “here”" in found[0]


def test_a_measurement_before_the_birth(as_keeper):
    found = problems(as_keeper, "A,2024-05-03,2024-05-02,30", header="code,born,measured,dw")
    assert found == ["Line 2, measured on: 2 May 2024 is before A was born (3 May 2024)."]


def test_shares_of_possible_sires_over_one(as_keeper):
    found = problems(as_keeper, "A,,,,", "B,,,,", "C,A:2/3|B:2/3,,,")
    assert found == [
        "Line 4, sire: “A:2/3|B:2/3” has shares that make 4/3; together they are at most 1."
    ]


def test_several_dams(as_keeper):
    found = problems(as_keeper, "A,,,,", "B,,,,", "C,,A:1/2|B:1/2,,")
    assert "names several dams; a dam is one animal" in found[0]


def test_a_row_longer_than_the_header(as_keeper):
    found = problems(as_keeper, "A,,,,,x")
    assert "Line 2: The row has 6 values, but the header names 5 columns" in found[0]


def test_a_call_name_that_two_rows_have(as_keeper):
    rows = ("Mira,", "Mira,", "Deneb,Mira")
    found = problems(as_keeper, *rows, header="name,dam")
    assert found == [
        "Line 4, dam: “Mira” is the call name of 2 rows (lines 2 and 3); name the parent by its "
        "code."
    ]


def test_a_species_that_the_parents_contradict(as_keeper):
    rows = ("A,motoro,,", "B,leopoldi,,", "C,motoro,A,B", "D,motoro:1/2|leopoldi:1/2,A,B")
    found = problems(as_keeper, *rows, header="code,species,sire,dam")
    assert len(found) == 1
    assert "Line 4, species: “motoro” does not fit: by its parents C is 1/2 P. leo" in found[0]


def test_all_problems_come_at_once_in_the_order_of_the_lines(as_keeper):
    found = problems(as_keeper, "A,,,x,", "A,,,,", "B,Z,,,", "C,,,,spring")
    assert [one.split(":")[0] for one in found] == [
        "Line 2, sex",
        "Lines 2 and 3, code",
        "Line 4, sire",
        "Line 5, born",
    ]


# ------------------------------------------------------------------------ what goes in instead


def test_every_field_is_written_as_it_stands(as_keeper):
    answer = paste(
        as_keeper,
        "code,name,sex,born,species,strain,origin,country of origin,state,since,markings,"
        "note,dw,weight,measured\n"
        "A,Mira,female,3.5.2019,ocellate river stingray,Midnight,wild,Colombia,died,17.5.2024,"
        '"a ""horseshoe""","two\nlines",38.2,1.5 kg,1.1.2024\n',
    )
    assert not problems_of(answer)
    assert "Dates such as 3.5.2024 are read with the day first." in proposal_of(answer).notes
    write(as_keeper)
    mira = Animal.objects.get(code="A")
    assert (mira.call_name, mira.sex, mira.origin, mira.state) == ("Mira", "F", "wild", "died")
    assert (mira.born_on, mira.state_on) == (cast.day("2019-05-03"), cast.day("2024-05-17"))
    assert (mira.markings, mira.note) == ('a "horseshoe"', "two\nlines")
    assert mira.country == "Colombia"
    assert mira.strain == Strain.objects.get(name="Midnight")
    assert [str(row.species) for row in mira.species_shares.all()] == ["Potamotrygon motoro"]
    size = mira.measurements.get()
    assert (size.on, size.disc_width_mm, size.weight_g) == (cast.day("2024-01-01"), 382, 1500)


def test_without_a_code_column_the_program_gives_codes(as_keeper, keeper):
    cast.the_program(code_prefix="LS")
    cast.ray("Vega", code="LS007")
    answer = paste(as_keeper, "name,sire,dam\nMira,Deneb,LS007\nDeneb,,\n")
    assert not problems_of(answer)
    write(as_keeper)
    mira = Animal.objects.get(call_name="Mira")
    assert (mira.code, mira.sire.code, mira.dam.name) == ("LS008", "LS009", "Vega")


def test_given_codes_avoid_those_of_the_table(as_keeper):
    paste(as_keeper, "code,name\n005,Vega\n,Mira\n")
    write(as_keeper)
    assert Animal.objects.get(call_name="Mira").code == "006"


def test_possible_sires_are_kept_with_their_shares(as_keeper):
    paste(as_keeper, "code,sire\nA,\nB,\nC,A:1/2|B:1/4\nD,A|B\nE,A:1\nF,A:1/3\n")
    write(as_keeper)
    young = {animal.code: animal for animal in Animal.objects.all()}
    shares = {
        code: [(row.sire.code, str(row.share)) for row in animal.possible_sires.all()]
        for code, animal in young.items()
    }
    assert shares["C"] == [("A", "1/2"), ("B", "1/4")]
    assert shares["D"] == [("A", "1/2"), ("B", "1/2")]
    assert (shares["E"], young["E"].sire.code) == ([], "A")
    assert shares["F"] == [("A", "1/3")]
    assert young["A"].sex == young["B"].sex == "M"


def test_sizes_are_read_in_the_unit_of_the_header_or_the_program(as_keeper):
    cast.the_program(length_unit="in", weight_unit="oz")
    paste(as_keeper, "code,DW (mm),weight\nA,382,80\n")
    write(as_keeper)
    size = Animal.objects.get(code="A").measurements.get()
    assert (size.disc_width_mm, size.weight_g) == (382, 2268)


def test_words_for_unknown_parents_are_no_parents(as_keeper):
    answer = paste(as_keeper, "code,sire,dam\nA,0,unknown\nB,?,-\nC,n/a,NA\n")
    assert not problems_of(answer)
    write(as_keeper)
    assert all(animal.is_founder for animal in Animal.objects.all())


def test_a_table_whose_codes_are_taken_comes_in_with_something_before_them(as_keeper):
    paste(as_keeper, "code,sire\n1,\n2,1\n")
    write(as_keeper)
    paste(as_keeper, "code,sire\n1,\n2,1\n3,2\n")
    answer = choose(as_keeper, put_before_codes="KVL-")
    assert not problems_of(answer)
    write(as_keeper)
    assert Animal.objects.get(code="KVL-3").sire.code == "KVL-2"
    assert Animal.objects.count() == 5


def test_a_code_that_looks_like_unknown_is_a_code_when_a_row_has_it(as_keeper):
    paste(as_keeper, "code,sire\n0,\n1,0\n")
    write(as_keeper)
    assert Animal.objects.get(code="1").sire.code == "0"
