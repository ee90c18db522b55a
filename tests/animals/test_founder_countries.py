"""A listing of the populations of one country is held against where the founders come from."""

import pytest

from breeding.animals.species.countries import founder_countries
from breeding.animals.species.listings import read_listings
from breeding.origin.proof import proof_of
from breeding.sheets.contents.draft import draft_sheet
from tests import cast

pytestmark = pytest.mark.django_db
LISTED = "CITES Appendix III (populations of Brazil and Colombia) since 3 January 2017"
NOT_ON_RECORD = f"{LISTED}, if from Brazil or Colombia, which is not on record"
FROM_PERU = f"{LISTED}; on record its founders come from Peru: ask the authority"


def wild(name, country, sex="F"):
    return cast.ray(name, sex, pure="motoro", origin="wild", country=country)


def law(animal):
    species = cast.species("motoro")
    countries = founder_countries(animal.pk, species.pk)
    return read_listings().words(species.accepted_name, countries)


@pytest.mark.parametrize(
    ("dams", "sires", "said"),
    [
        ("Brazil", "Peru", LISTED),
        ("peru", "brazil", LISTED),
        ("Peru", "", NOT_ON_RECORD),
        ("", "", NOT_ON_RECORD),
        ("Peru", "Peru", FROM_PERU),
    ],
)
def test_the_words_follow_the_countries_of_both_founders(owner, dams, sires, said):
    pup = cast.ray("Lyra", dam=wild("Vega", dams), sire=wild("Altair", sires, "M"))
    assert law(pup) == said


def test_of_one_bred_elsewhere_the_founders_are_not_on_record(owner):
    lyra = cast.ray("Lyra", "F", pure="motoro", origin="elsewhere", country="Peru")
    assert law(lyra) == NOT_ON_RECORD


def test_an_unrecorded_sire_leaves_the_country_open(owner):
    assert law(cast.ray("Lyra", dam=wild("Vega", "Peru"))) == NOT_ON_RECORD


def test_founders_of_another_species_say_nothing_of_this_one(owner):
    leopoldi = cast.ray("Mira", "M", pure="leopoldi", origin="wild", country="Brazil")
    lyra = cast.ray("Lyra", dam=wild("Vega", "Peru"), sire=leopoldi)
    assert founder_countries(lyra.pk, cast.species("motoro").pk) == {"Peru"}


def test_proof_and_sheet_say_the_same(owner):
    lyra = cast.ray(
        "Lyra",
        dam=wild("Vega", "Peru"),
        sire=wild("Altair", "Peru", "M"),
        born_on=cast.ago(100),
    )
    proof = proof_of(lyra, asof=cast.ago(0))
    assert any(FROM_PERU in one for one in proof.flags)
    facts = draft_sheet(lyra, program=cast.the_program(), by=None, on=cast.ago(0)).facts
    (told,) = (one for one in facts.cautions if one.heading == "The law")
    assert FROM_PERU in told.text
