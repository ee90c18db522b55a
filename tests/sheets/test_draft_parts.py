"""Each part of a sheet by itself: what is on record of one animal, and how the sheet says it."""

import datetime
from fractions import Fraction
from io import BytesIO

import pytest
from PIL import Image

from breeding.animals import services as animals
from breeding.animals.models import Species, Strain
from breeding.litters.models import Pup
from breeding.litters.services import PupFacts, record_birth
from breeding.sheets.contents.draft import draft_sheet
from tests import cast

pytestmark = pytest.mark.django_db
ON = cast.day("2026-11-25")
BORN = cast.day("2026-06-03")


@pytest.fixture(scope="module")
def jo(kept_for_the_file):
    return cast.owner()


@pytest.fixture(scope="module")
def vega(jo):
    return cast.female("Vega", pure="motoro", origin="wild", born_on=cast.day("2018-01-01"))


@pytest.fixture(scope="module")
def deneb(jo):
    return cast.male("Deneb", pure="motoro", origin="here", born_on=cast.day("2020-05-06"))


@pytest.fixture
def lyra(vega, deneb):
    return cast.female("Lyra", dam=vega, sire=deneb, born_on=BORN, born_precision="day")


def facts(animal, **more):
    more = {"by": None, "with_tree": False} | more
    return draft_sheet(animal, program=cast.the_program(), on=ON, **more).facts


def row(animal, heading):
    return dict(facts(animal).rows)[heading]


def measure(animal, on, **figures):
    animals.add_measurement(animal, by=None, on=cast.day(on), **figures)


# --------------------------------------------------------------------------- from whom, for whom


def test_a_sheet_is_issued_by_a_person_or_by_the_program(jo, lyra):
    assert facts(lyra, by=jo).issued_by == "Jo"
    assert facts(lyra).issued_by == "Lantern Street Rays"


def test_a_sheet_for_a_buyer_says_so_and_no_other_does(lyra):
    assert facts(lyra, is_for_buyer=True).issued_for == "the buyer of Lyra"
    assert facts(lyra).issued_for == ""


def test_the_sheet_it_takes_the_place_of_is_named(lyra):
    assert facts(lyra, corrects="2026-017").corrects == "2026-017"
    assert facts(lyra, journey_hours=30).arrival.startswith("About 30 hours in the bag.")


def test_the_tree_is_drawn_unless_it_is_not_asked_for_or_would_stand_alone(lyra, vega):
    def tree(animal, **more):
        return draft_sheet(animal, program=cast.the_program(), by=None, on=ON, **more).facts.tree

    assert tree(lyra).startswith("<svg")
    assert tree(lyra, with_tree=False) == tree(vega) == ""


# ------------------------------------------------------------------------------------ the parents


def test_a_parent_stands_with_its_species_and_its_origin(lyra):
    (sire,), dam = facts(lyra).sires, facts(lyra).dam
    assert (sire.role, sire.name, sire.share) == ("sire", "Deneb", "")
    assert sire.origin == "P. motoro, born here 2020"
    assert dam.origin == "P. motoro, wild caught, born 2018"


@pytest.mark.parametrize(
    ("known", "said"),
    [
        ({}, "species not recorded, origin not recorded"),
        ({"origin": "elsewhere", "pure": "motoro"}, "P. motoro, captive bred elsewhere"),
        ({"born_on": BORN}, "species not recorded, origin not recorded, born 2026"),
    ],
)
def test_what_is_not_recorded_of_a_parent_is_said(jo, known, said):
    young = cast.ray("Sirius", dam=cast.female("Izar", **known))
    assert facts(young).dam.origin == said


def test_possible_sires_that_sum_to_one_leave_room_for_no_other(vega, deneb, jo):
    other = cast.male("Altair", pure="leopoldi")
    shares = ((deneb, Fraction(1, 2)), (other, Fraction(1, 2)))
    found = facts(cast.ray("Sirius", dam=vega, possible_sires=shares))
    assert [(one.name, one.share) for one in found.sires] == [("Deneb", "50 %"), ("Altair", "50 %")]
    assert {"P. leopoldi", "Potamotrygon leopoldi"} <= set(found.scientific_names)


def test_one_of_several_that_nobody_knows_has_the_rest(vega, deneb):
    (known, rest) = facts(
        cast.ray("Sirius", dam=vega, possible_sires=((deneb, Fraction(3, 4)),))
    ).sires
    assert (known.name, known.share) == ("Deneb", "75 %")
    assert (rest.role, rest.is_known, rest.share) == ("possible sire", False, "25 %")


def test_a_picture_whose_file_is_gone_is_none(lyra):
    out = BytesIO()
    Image.new("RGB", (60, 60), "brown").save(out, "JPEG")
    animals.add_photograph(lyra, BytesIO(out.getvalue()), by=None, taken_on=BORN)
    draft = draft_sheet(lyra, program=cast.the_program(), by=None, on=ON, with_tree=False)
    assert draft.facts.animal.portrait == "animal"
    photograph = draft.pictures["animal"]
    photograph.picture.storage.delete(str(photograph.picture))
    gone = draft_sheet(lyra, program=cast.the_program(), by=None, on=ON, with_tree=False)
    assert (gone.facts.animal.portrait, gone.facts.animal.portrait_caption) == ("", "")
    assert gone.pictures == {}


# ------------------------------------------------------------------------------------- its sizes


def test_a_width_measured_on_the_day_of_birth_is_that_at_birth(lyra):
    measure(lyra, "2026-06-03", disc_width_mm=89)
    assert row(lyra, "Disc width") == "8.9 cm at birth"
    measure(lyra, "2026-11-01", disc_width_mm=152)
    assert row(lyra, "Disc width") == "15.2 cm on 1 November 2026, 8.9 cm at birth"


def test_a_width_of_another_day_is_not_that_at_birth(lyra):
    measure(lyra, "2026-06-04", disc_width_mm=89)
    assert row(lyra, "Disc width") == "8.9 cm on 4 June 2026, at birth not recorded"


def test_of_a_birth_known_to_the_month_no_day_is_that_of_birth(jo):
    young = cast.ray("Sirius", born_on=cast.day("2026-06-01"), born_precision="month")
    measure(young, "2026-06-02", disc_width_mm=90)
    measure(young, "2026-06-01", disc_width_mm=89)
    assert row(young, "Disc width") == "9.0 cm on 2 June 2026, at birth not recorded"


def test_the_latest_of_each_figure_is_said_though_later_rows_lack_it(lyra):
    measure(lyra, "2026-09-01", disc_width_mm=120, weight_g=100, condition=2)
    measure(lyra, "2026-10-01", disc_width_mm=140, weight_g=180, condition=4)
    measure(lyra, "2026-11-01", girth_mm=400)
    assert row(lyra, "Disc width") == (
        "14.0 cm on 1 October 2026, at birth not recorded, weight 180 g on 1 October 2026"
    )
    assert row(lyra, "Condition").startswith("4 of 5 on 1 October 2026 (1 thin,")


def test_a_weight_alone_is_said_by_itself(lyra):
    measure(lyra, "2026-10-01", weight_g=180)
    assert row(lyra, "Disc width") == "weight 180 g on 1 October 2026"


def test_the_size_of_a_parent_is_its_latest_width(lyra, vega):
    measure(vega, "2026-09-01", disc_width_mm=500)
    measure(vega, "2026-10-01", weight_g=5000)
    assert facts(lyra).dam.size == "50.0 cm disc width, 1 Sep 2026"
    assert facts(lyra).sires[0].size == "size not recorded"


def test_a_size_of_a_day_unknown_is_said_so_and_gives_way_to_a_dated_one(lyra, vega):
    animals.add_measurement(lyra, by=None, on=None, disc_width_mm=160, weight_g=200, condition=3)
    animals.add_measurement(vega, by=None, on=None, disc_width_mm=500)
    assert row(lyra, "Disc width") == (
        "16.0 cm (day unknown), at birth not recorded, weight 200 g (day unknown)"
    )
    assert row(lyra, "Condition").startswith("3 of 5 (day unknown)")
    assert facts(lyra).dam.size == "50.0 cm disc width, day unknown"
    measure(lyra, "2026-10-01", disc_width_mm=140)
    measure(vega, "2026-10-01", disc_width_mm=480)
    assert row(lyra, "Disc width").startswith("14.0 cm on 1 October 2026, ")
    assert facts(lyra).dam.size == "48.0 cm disc width, 1 Oct 2026"


def test_a_size_of_a_day_unknown_is_none_at_an_unknown_birth(jo):
    young = cast.ray("Sirius")
    animals.add_measurement(young, by=None, on=None, disc_width_mm=160)
    assert row(young, "Disc width") == "16.0 cm (day unknown), at birth not recorded"


# ------------------------------------------------------------------------------------ its species


def test_one_species_stands_with_both_of_its_names(lyra):
    assert facts(lyra).animal.species == "Potamotrygon motoro (ocellate river stingray)"
    Species.objects.filter(key="motoro").update(trade_name="")
    assert facts(lyra).animal.species == "Potamotrygon motoro"


def test_one_half_known_may_be_a_hybrid_and_one_of_two_species_is(vega, jo):
    half = cast.ray("Sirius", dam=vega, sire=cast.male("Izar"))
    assert facts(half).animal.species == (
        "Potamotrygon motoro (ocellate river stingray), in part of unknown species"
    )
    assert facts(half).promise.startswith(
        "Half of its ancestry is of unknown species, so it may be a hybrid. "
    )
    cross = cast.ray("Polaris", dam=vega, sire=cast.male("Rigel", pure="leopoldi"))
    assert facts(cross).animal.species == "hybrid of P. leopoldi and P. motoro"
    assert "unknown species" not in facts(cross).promise
    back = cast.ray("Adhara", dam=vega, sire=cast.male("Mizar", sire=cross.sire, dam=vega))
    assert facts(back).animal.species == "hybrid of P. motoro and P. leopoldi"  # more of it first


def test_of_one_without_any_species_nothing_is_named(jo):
    found = facts(cast.ray("Sirius"))
    assert found.animal.species == "species not recorded"
    assert found.promise.startswith("Its species is not on record, so it may be a hybrid. ")
    assert found.scientific_names == ()


def test_a_pure_animal_without_a_strain_is_promised_nothing_of_either(lyra):
    found = facts(lyra)
    assert found.animal.strain == ""
    assert "hybrid" not in found.promise
    assert "strain" not in found.promise
    assert found.scientific_names == ("P. motoro", "Potamotrygon motoro")


def test_a_strain_is_named_last(lyra):
    lyra.strain = Strain.objects.create(name="Ember")
    lyra.save()
    assert facts(lyra).animal.strain == "strain Ember"
    assert facts(lyra).promise.endswith(
        "Ember is a strain: what its line has looked like so far binds neither this animal nor "
        "its young."
    )


def test_only_the_law_names_listings_and_only_of_species_that_have_any(lyra):
    listed = facts(lyra).cautions
    (law,) = (one for one in listed if "P. motoro: CITES" in one.text)
    assert law.heading == "The law"
    Species.objects.filter(key="motoro").update(accepted_name="Plesiotrygon iwamae")
    plain = facts(lyra).cautions
    assert [one.heading for one in plain] == [one.heading for one in listed]
    assert not [one for one in plain if "P. motoro" in one.text or "P. iwamae" in one.text]


def test_a_species_with_no_note_of_its_own_is_covered_by_the_listing_of_its_genus(lyra):
    """Brazil's populations of Potamotrygon: CITES Appendix III since 2017-01-03."""
    Species.objects.filter(key="motoro").update(accepted_name="Potamotrygon boesemani", law_note="")
    (law,) = (one for one in facts(lyra).cautions if one.heading == "The law")
    assert (
        "P. boesemani: CITES Appendix III (populations of Brazil) since 3 January 2017, if from "
        "Brazil, which is not on record, as far as known on 25 November 2026." in law.text
    )


def test_the_country_of_a_founder_stands_with_the_origin_on_the_sheet(lyra):
    lyra.country = "Colombia"
    lyra.save()
    assert "from Colombia" in row(lyra, "Origin")


# --------------------------------------------------------------------------------------- its litter


def pups(dam, *alive):
    litter = record_birth(
        dam=dam, born_on=BORN, pups=[PupFacts(alive=one) for one in alive], today=ON, by=None
    )
    return litter.pups.get(number=1).animal


@pytest.mark.parametrize(
    ("alive", "said"),
    [
        ((True,), "of one pup, born alive; this one is number 1"),
        ((True, True), "of two pups, all born alive; this one is number 1"),
        ((True, False, False), "of three pups, one born alive; this one is number 1"),
    ],
)
def test_a_litter_is_said_with_how_many_lived(vega, alive, said):
    assert row(pups(vega, *alive), "Litter").endswith(said)


def test_an_only_pup_written_down_as_dead_is_said_to_be(vega):
    young = pups(vega, True)
    Pup.objects.filter(animal=young).update(alive=False)
    assert row(young, "Litter").endswith("of one pup, born dead; this one is number 1")


def test_the_width_in_the_record_of_birth_comes_first(vega):
    young = pups(vega, True)
    Pup.objects.filter(animal=young).update(disc_width_mm=90)
    measure(young, "2026-06-03", disc_width_mm=95)
    assert row(young, "Disc width") == "9.0 cm at birth"
    litter = young.pup_rows.get().litter
    litter.withdrawn_at = datetime.datetime(2026, 11, 1, tzinfo=datetime.UTC)
    litter.save()
    assert row(young, "Disc width") == "9.5 cm at birth"


# ------------------------------------------------------------------------------- itself


def test_sex_and_marks_are_said_or_missed(lyra):
    assert facts(lyra).animal.sex == "female"
    assert row(lyra, "Known by") == "markings not described"
    lyra.markings = "ring behind the eye"
    lyra.save()
    assert row(lyra, "Known by") == "ring behind the eye"
    assert row(cast.ray("Sirius"), "Born") == "not recorded"
    assert facts(cast.ray("Polaris")).animal.sex == "sex unknown"
