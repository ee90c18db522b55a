"""What a sheet says of known families. Shares and F by own arithmetic from Mendel and Wright."""

import datetime
from fractions import Fraction

import pytest

from breeding.animals.models import Species, Strain
from breeding.sheets.contents.draft import draft_sheet
from pedigree import Pedigree, generation_in_captivity
from tests import cast

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how facts become words")]
ON = cast.day("2026-11-25")


@pytest.fixture(autouse=True)
def _program(owner):
    cast.the_program(emergency_number="112", poison_number="01 234 567")


def facts_of(animal, **more):
    more = {"program": cast.the_program(), "by": None, "on": ON} | more
    return draft_sheet(animal, **more).facts


def row(facts, heading):
    return dict(facts.rows)[heading]


def test_one_unknown_grandsire_leaves_an_eighth_unknown_and_says_through_whom():
    mizar = cast.female("Mizar", pure="motoro")
    izar = cast.female("Izar", dam=mizar)
    deneb = cast.male("Deneb", sire=cast.male("Altair", pure="motoro"), dam=izar)
    lyra = cast.female("Lyra", sire=deneb, dam=cast.female("Vega", pure="motoro"))
    facts = facts_of(lyra)
    assert row(facts, "Species") == (
        "7/8 P. motoro expected; the last eighth came through an unknown male (the sire of Izar)"
    )
    assert "An eighth of its ancestry is of unknown species" in facts.promise
    assert "P. motoro" in facts.scientific_names


def test_a_hybrid_with_an_unknown_share_is_declared_and_its_looks_are_not_promised():
    first = cast.male(
        "Castor", sire=cast.male(pure="leopoldi"), dam=cast.female("Vega", pure="motoro")
    )
    facts = facts_of(cast.female("Lyra", sire=first, dam=cast.female("Nova")))
    assert row(facts, "Species") == (
        "1/4 P. leopoldi and 1/4 P. motoro expected; the last half came through Nova, whose "
        "species is not recorded"
    )
    assert facts.animal.species.startswith("hybrid of P. leopoldi and P. motoro")
    assert "This animal is a hybrid." in facts.promise
    assert "Nobody can promise" in facts.promise
    law = next(part.text for part in facts.cautions if part.heading == "The law")
    assert "P. leopoldi: CITES Appendix II" in law
    assert "P. motoro: CITES Appendix III" in law


def test_several_possible_sires_stand_with_shares_and_what_each_would_mean():
    altair, vega = cast.male("Altair", pure="motoro"), cast.female("Vega", pure="motoro")
    brother = cast.male("Deneb", sire=altair, dam=vega)
    sister = cast.female("Mira", sire=altair, dam=vega)
    stranger = cast.male("Algol", pure="motoro")
    possible = ((brother, Fraction(3, 5)), (stranger, Fraction(2, 5)))
    facts = facts_of(cast.ray("Lyra", dam=sister, possible_sires=possible))
    assert [(one.name, one.role, one.share) for one in facts.sires] == [
        ("Deneb", "possible sire", "60 %"),
        ("Algol", "possible sire", "40 %"),
    ]
    # Young of full siblings: F 1/4 (Wright 1922); 3/5 of it is expected.
    words = row(facts, "Inbreeding")
    assert words.startswith("from 0 % to 25 %: 25 %, as close as full siblings")
    assert "if the sire is Deneb and 0 % if he is Algol; 15 % (3/20) expected" in words


def test_an_inbred_animal_of_a_strain():
    altair, vega = (
        cast.male("Altair", pure="motoro", origin="wild"),
        cast.female("Vega", pure="motoro", origin="wild"),
    )
    brother = cast.male("Deneb", sire=altair, dam=vega)
    sister = cast.female("Mira", sire=altair, dam=vega)
    ember = Strain.objects.create(name="Ember")
    facts = facts_of(cast.female("Lyra", sire=brother, dam=sister, strain=ember))
    words = row(facts, "Inbreeding")
    assert words.startswith("at least 25 % (1/4), as close as full siblings, or parent and young")
    assert "Altair and Vega are the parents of both parents (together 25 %)" in words
    assert "6 of 14 possible ancestors" in words
    assert row(facts, "Generation") == "second generation in captivity"
    assert "founders Altair and Vega wild caught" in row(facts, "Origin")
    assert facts.animal.strain == "strain Ember"
    assert "Ember is a strain" in facts.promise
    assert "nobody can promise" in facts.promise


@pytest.mark.parametrize(
    ("precision", "said"), [("day", "2 May 2023"), ("month", "May 2023"), ("year", "2023")]
)
def test_a_birth_is_written_no_more_exactly_than_it_is_known(precision, said):
    animal = cast.ray("Lyra", born_on=datetime.date(2023, 5, 2), born_precision=precision)
    assert row(facts_of(animal), "Born") == said


def test_the_sheet_carries_the_cautions_and_the_numbers_of_the_program():
    facts = facts_of(cast.female("Lyra"))
    assert [(one.label, one.number) for one in facts.telephone_numbers] == [
        ("Emergency", "112"),
        ("Poison centre", "01 234 567"),
    ]
    said = " ".join(part.text for part in facts.cautions)
    assert "no hotter than 45 °C (113 °F)" in said
    assert "Ask the authority" in said


def test_a_species_whose_name_a_keeper_changed_goes_by_the_new_one():
    Species.objects.filter(key="motoro").update(accepted_name="Potamotrygon nova")
    facts = facts_of(cast.female("Lyra", pure="motoro"))
    assert facts.animal.species.startswith("Potamotrygon nova")


def test_the_generation_of_a_very_deep_pedigree_is_told():
    rows = [(0, None, None), *((n, None, n - 1) for n in range(1, 3000))]
    ped = Pedigree.from_rows(rows)
    assert generation_in_captivity(ped, [2998])[2999] == 1
    assert generation_in_captivity(ped, [])[2999] is None
