"""The chain back to the founders, and the gaps in it: families small enough to read off."""

import datetime
from fractions import Fraction

import pytest
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.origin.models import OriginPaper
from breeding.origin.proof import distances, proof_of
from pedigree import Pedigree
from tests import cast
from tests.buyers.litters import TODAY


def proof(animal, asof=TODAY):
    return proof_of(animal, asof=asof)


def station(found, name):
    return next(one for one in found.stations if one.animal.call_name == name)


def gap(found, start):
    return next((one for one in found.gaps if one.startswith(start)), "")


# ------------------------------------------------------------------------------- how far back


def test_each_ancestor_stands_at_its_nearest_and_possible_sires_count():
    """1 of 2 and 3 or 4; 2 of 5 and 6; 3 of 5: 5 is two back on either way, 6 two back."""
    ped = Pedigree.from_rows(
        [
            (1, {3: Fraction(1, 2), 4: Fraction(1, 4)}, 2),
            (2, 5, 6),
            (3, 5, None),
            *((founder, None, None) for founder in (4, 5, 6)),
        ]
    )
    assert distances(ped, 1) == {1: 0, 2: 1, 3: 1, 4: 1, 5: 2, 6: 2}
    assert distances(ped, 2) == {2: 0, 5: 1, 6: 1}
    assert distances(ped, 4) == {4: 0}


def test_a_parent_that_is_also_a_grandparent_stands_with_the_parents():
    ped = Pedigree.from_rows([(1, 3, 2), (2, 3, 4), (3, 5, None), (4, None, None), (5, None, None)])
    assert distances(ped, 1) == {1: 0, 2: 1, 3: 1, 4: 2, 5: 2}


# ---------------------------------------------------------------------------------- a family


@pytest.fixture(scope="module")
def family(kept_for_the_file):
    """Altair and Vega from the wild; Mira of both; Lyra of Mira and Deneb, bred elsewhere."""
    altair = cast.male("Altair", pure="leopoldi", origin="wild")
    vega = cast.female("Vega", pure="leopoldi", origin="wild", born_on=cast.day("2014-01-01"))
    mira = cast.female("Mira", sire=altair, dam=vega, origin="here", born_on=cast.day("2020-05-06"))
    deneb = cast.male("Deneb", pure="motoro", origin="elsewhere")
    lyra = cast.female("Lyra", sire=deneb, dam=mira, origin="here")
    return {one.call_name: one for one in (altair, vega, mira, deneb, lyra)}


@pytest.mark.django_db
def test_a_station_says_all_that_is_on_record_of_it(family):
    found = proof(family["Lyra"])
    vega, mira, lyra = (station(found, name) for name in ("Vega", "Mira", "Lyra"))
    assert (vega.species, vega.origin, vega.born) == (
        "P. leopoldi",
        "wild caught",
        "1 January 2014",
    )
    assert (vega.sire, vega.dam, vega.is_founder) == ("unknown", "unknown", True)
    assert mira.sire == family["Altair"].full_name
    assert mira.dam == family["Vega"].full_name
    assert (mira.is_founder, mira.born, mira.generation) == (False, "6 May 2020", 1)
    assert lyra.species == "1/2 P. leopoldi, 1/2 P. motoro"
    assert station(found, "Deneb").listed == (
        "P. motoro: CITES Appendix III (populations of Brazil and Colombia) since 3 January 2017, "
        "if from Brazil or Colombia, which is not on record",
    )


@pytest.mark.django_db
def test_each_listed_species_is_flagged_once_with_all_in_whom_it_stands(family):
    leopoldi, motoro = proof(family["Lyra"]).flags
    assert leopoldi == (
        "P. leopoldi: CITES Appendix II since 23 February 2023. In Lyra, Mira, Altair and Vega, "
        "within 4 generations."
    )
    assert motoro.endswith("In Lyra and Deneb, within 4 generations.")


@pytest.mark.django_db
def test_the_gaps_are_these_and_no_others(family):
    assert proof(family["Lyra"]).gaps == (
        "A parent of Deneb is not on record, so a listed species within 4 generations cannot be "
        "ruled out.",
        "The country that Deneb, Altair and Vega come from is not recorded; a listing can "
        "hold for the animals of one country alone.",
        "No paper is on record for the founders Deneb, Altair and Vega.",
        "The date of birth of Lyra, Deneb and Altair is not recorded.",
    )
    assert proof(family["Mira"]).gaps == (
        "The country that Altair and Vega come from is not recorded; a listing can hold for the "
        "animals of one country alone.",
        "No paper is on record for the founders Altair and Vega.",
        "The date of birth of Altair is not recorded.",
    )


@pytest.mark.django_db
def test_a_chain_with_nothing_missing_has_no_gap(family):
    Animal.objects.filter(pk=family["Altair"].pk).update(
        born_on=cast.day("2014-01-01"), born_precision="day"
    )
    for name in ("Altair", "Vega"):
        OriginPaper.objects.create(animal=family[name], note="seen", source_code="W")
        Animal.objects.filter(pk=family[name].pk).update(country="Brazil")
    found = proof(family["Mira"])
    assert found.gaps == ()
    assert found.source_meanings == [
        ("W", "taken from the wild; also the young of a female that was pregnant when she was "
              "caught"),
    ]  # fmt: skip


@pytest.mark.django_db
def test_a_paper_of_one_who_is_no_founder_does_not_stand_for_the_founders(family):
    for paper in ({"source_code": "C"}, {"source_code": "F"}):
        OriginPaper.objects.create(animal=family["Mira"], **paper)
    OriginPaper.objects.create(
        animal=family["Vega"],
        source_code="W",
        withdrawn_at=datetime.datetime(2026, 1, 1, tzinfo=timezone.get_default_timezone()),
        withdrawn_reason="of another ray",
    )
    found = proof(family["Mira"])
    assert gap(found, "No paper") == "No paper is on record for the founders Altair and Vega."
    assert [code for code, _ in found.source_meanings] == ["F", "C"]


@pytest.mark.django_db
@pytest.mark.parametrize("missing", ["sire", "dam"])
def test_one_missing_parent_is_a_gap_unless_it_came_from_the_wild(family, missing):
    known = {"sire": family["Altair"], "dam": family["Vega"]}
    del known[missing]
    found = proof(cast.ray("Polaris", origin="here", **known))
    assert gap(found, "A parent of ").startswith("A parent of Polaris is not on record")
    assert gap(found, "Its species") == "Its species is not known in full."
    wild = proof(cast.ray("Rigel", origin="wild", **known))
    assert gap(wild, "A parent of ") == ""


@pytest.mark.django_db
def test_what_is_not_recorded_of_one_without_parents_is_said(family):
    found = proof(cast.ray("Polaris"))
    assert found.gaps == (
        "A parent of Polaris is not on record, so a listed species within 4 generations cannot "
        "be ruled out.",
        "Its species is not known in full.",
        "The origin of Polaris is not recorded.",
        "The country that Polaris comes from is not recorded; a listing can hold for the "
        "animals of one country alone.",
        "No paper is on record for the founder Polaris.",
        "The date of birth of Polaris is not recorded.",
    )
    (itself,) = found.stations
    assert (itself.species, itself.origin) == ("species not recorded", "not recorded")
    assert itself.listed == ()


@pytest.mark.django_db
def test_who_is_missing_four_generations_back_can_hide_nothing_that_counts(family):
    """Parents unknown of one three generations back stand four back, of one four back five."""
    young = family["Deneb"]
    sire = family["Altair"]
    for name in ("One", "Two", "Three"):
        young = cast.male(name, sire=young, dam=cast.female(origin="wild"), origin="here")
    assert gap(proof(young), "A parent of ").startswith("A parent of Deneb is not on record")
    last = cast.male("Four", sire=young, dam=family["Vega"], origin="here")
    found = proof(last)
    assert station(found, "Deneb").generation == 4
    assert gap(found, "A parent of ") == ""
    assert station(found, "Deneb").listed
    assert sire.pk not in {one.animal.pk for one in found.stations}


# ------------------------------------------------------------------------------- whose sire


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("shares", "said"),
    [
        ((("Altair", "1/2"), ("Deneb", "1/2")), "one of {Altair} or {Deneb}"),
        ((("Altair", "1/2"), ("Deneb", "1/4")), "one of {Altair}, {Deneb} or one not on record"),
        ((("Deneb", "3/4"),), "one of {Deneb} or one not on record"),
    ],
)
def test_possible_sires_are_named_with_one_that_is_not_on_record(family, shares, said):
    possible = tuple((family[name], Fraction(share)) for name, share in shares)
    young = cast.ray("Sirius", dam=family["Mira"], possible_sires=possible, origin="here")
    found = proof(young)
    names = {name: one.full_name for name, one in family.items()}
    assert station(found, "Sirius").sire == said.format(**names)
    is_open = "one not on record" in said
    assert gap(found, "A parent of ").startswith(
        "A parent of Deneb and Sirius is" if is_open else "A parent of Deneb is"
    )


@pytest.mark.django_db
def test_twelve_names_are_read_and_more_are_counted(family):
    """Thirteen possible sires whose birth nobody wrote down; the young and its dam have a day."""
    males = [cast.male(f"Star {letter}") for letter in "ABCDEFGHIJKLM"]
    possible = tuple((one, Fraction(1, 13)) for one in males)
    born = cast.day("2026-01-01")
    dam = cast.female("Izar", origin="wild", born_on=cast.day("2014-01-01"))
    young = cast.ray("Sirius", dam=dam, possible_sires=possible, born_on=born)
    said = gap(proof(young), "The date of birth of ")
    assert said.endswith("Star K, Star L and 1 more is not recorded.")
    Animal.objects.filter(pk=males[0].pk).update(
        born_on=cast.day("2014-01-01"), born_precision="day"
    )
    said = gap(proof(young), "The date of birth of ")
    assert said.endswith("Star K, Star L and Star M is not recorded.")


# ------------------------------------------------------------------------------ by descent


@pytest.mark.django_db
def test_what_follows_from_the_parents_has_a_row_only_where_something_is_said(family):
    assert [heading for heading, _ in proof(family["Mira"]).by_descent] == [
        *("Species", "Generation", "Ancestry", "Inbreeding")
    ]
    found = proof(family["Lyra"])
    assert [heading for heading, _ in found.by_descent] == [
        *("Species", "Spread", "Generation", "Ancestry", "Inbreeding")
    ]
    assert [heading for heading, _ in found.generations] == ["itself", "parents", "grandparents"]


@pytest.mark.django_db
def test_of_what_is_said_in_words_no_drawing_is_made(family):
    inbred = cast.ray("Sirius", sire=family["Altair"], dam=family["Mira"], origin="here")
    reasons = proof(inbred).descent.reasons
    assert [one.picture for one in reasons] == [""]
    assert reasons[0].sentences


@pytest.mark.django_db
def test_a_list_of_species_of_more_than_a_year_ago_is_warned_of(family):
    known_on = proof(family["Mira"]).listings.as_known_on
    assert proof(family["Mira"], known_on).warning == ""
    late = proof(family["Mira"], known_on + datetime.timedelta(days=366))
    assert late.warning.startswith("This list is more than a year old")
