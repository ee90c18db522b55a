"""Species written down on screen: from another or from nothing, put right, withdrawn, undone."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.animals.models import Animal, Profile, ProfileFigure, Species
from breeding.animals.species.adding import add_species, blank_start, start_from
from breeding.animals.species.figures import Typed
from breeding.animals.species.profiles import all_profiles
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.season.reading import season_of
from breeding.pairings.species_file import load_species
from breeding.program import clock
from breeding.program.models import Act
from breeding.program.problems.doubts import DoubtError
from breeding.program.queries import the_program
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db

NEW = reverse("animals:new_species")
# An invented small live-bearing fish, as a keeper types it: 28 days, give or take 2.
SMALL = {
    "accepted_name": "Lanternus minimus",
    "trade_name": "lantern fish",
    "kind_one": "lantern fish",
    "kind_many": "lantern fish",
    "size_called": "standard length",
    "law_note": "",
    "gestation_mean_days_value": "28",
    "gestation_mean_days_certainty": "K",
    "gestation_mean_days_source": "own book, 2025",
    "gestation_sd_days_value": "2",
    "gestation_mean_doubt_days_value": "2",
    "scan_detectable_days_value": "14",
    "sperm_kept_days_value": "90",
}


def as_shown(client, address) -> dict:
    form = client.get(address).context["form"]
    values = {name: form[name].value() for name in form.fields}
    nothing = (None, False)  # a 0 is a figure
    return {k: v for k, v in values.items() if v != "" and not any(v is one for one in nothing)}


def send(client, address=NEW, **typed):
    return client.post(address, as_shown(client, address) | typed, follow=True)


@pytest.fixture
def small(as_keeper) -> Species:
    page = send(as_keeper, **SMALL)
    assert "Lanternus minimus is written down with" in words(page)
    return Species.objects.get(accepted_name="Lanternus minimus")


def test_a_species_begins_as_a_blank_live_bearing_fish(small):
    known = {one.name: one for one in small.profile.figures.all()}
    assert (known["gestation_mean_days"].value, known["gestation_mean_days"].certainty) == (28, "K")
    assert known["gestation_mean_days"].source == "own book, 2025"
    assert known["mature_female_mm"].value == 25
    assert known["mature_female_mm"].certainty == "A"
    assert (small.kind_many, small.size_called, small.has_spine) == (
        "lantern fish",
        "standard length",
        False,
    )
    assert small.profile.label == small.short_name == "L. minimus"
    assert small.recorded_by.username == "sam"


def test_a_new_value_has_not_the_source_of_the_one_it_replaces(small):
    spread = small.profile.figures.get(name="gestation_sd_days")
    assert (spread.value, spread.source) == (2, "assumption")


def test_a_species_begins_with_the_figures_of_another_as_assumptions(as_keeper):
    motoro = cast.species("motoro")
    address = f"{NEW}?start={motoro.pk}"
    page = send(
        as_keeper, address, accepted_name="Potamotrygon nova", litter_largest_pups_value="20"
    )
    assert "Potamotrygon nova is written down" in words(page)
    nova = Species.objects.get(accepted_name="Potamotrygon nova")
    assert (nova.kind_many, nova.size_called, nova.has_spine) == ("rays", "disc width", True)
    mean = nova.profile.figures.get(name="gestation_mean_days")
    assert (mean.value, mean.certainty) == (110, "A")
    assert mean.source.startswith("taken over from P. motoro: assumed from dated keepers' records")
    assert nova.profile.figures.get(name="litter_largest_pups").value == 20
    assert nova.profile.figures.count() == motoro.profile.figures.count()
    assert not nova.profile.figures.filter(certainty__in="PK").exists()


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        (
            {"gestation_mean_days_value": "-3"},
            "gestation_mean_days_value",
            "-3 days is not possible",
        ),
        ({"mature_male_mm_value": "-1"}, "mature_male_mm_value", "is not possible here"),
        (
            {"gestation_sd_days_value": "60"},
            "gestation_sd_days_value",
            "60 days is more than “Gestation from mating, mean”, 45 days.",
        ),
        (
            {"gestation_mean_days_value": "28"},
            "scan_detectable_days_value",
            "30 days is more than “Gestation from mating, mean”, 28 days.",
        ),
        (
            {"mature_female_days_value": "200"},
            "mature_female_days_value",
            "200 days is more than “A female is fit to breed from”, 120 days.",
        ),
        (
            {"water_temperature_least_c_value": "30"},
            "water_temperature_least_c_value",
            "30 °C is more than “Its water, at the most”, 28 °C.",
        ),
        (
            {"water_ph_least_value": "8.5"},
            "water_ph_least_value",
            "8.5 pH is more than “Its water, pH at the most”, 8 pH.",
        ),
        (
            {"water_ph_most_value": "77"},
            "water_ph_most_value",
            "not possible here; allowed is from 3",
        ),
        (
            {"gestation_mean_days_certainty": "P", "gestation_mean_days_source": ""},
            "gestation_mean_days_value",
            "Say where a published figure",
        ),
        ({"accepted_name": "potamotrygon MOTORO"}, "accepted_name", "is on record already"),
        ({"kind_many": "\u202eyar"}, "kind_many", "turns the writing around"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(as_keeper, typed, field, said):
    page = send(as_keeper, **{"accepted_name": "Lanternus minimus", **typed})
    assert said in " ".join(page.context["form"].errors[field])
    assert not Species.every.filter(accepted_name="Lanternus minimus").exists()


def test_a_figure_far_from_that_of_relatives_is_asked_about_once(as_keeper):
    address = f"{NEW}?start={cast.species('motoro').pk}"
    typed = {"accepted_name": "Potamotrygon nova", "leave_better_days_value": "560"}
    page = send(as_keeper, address, **typed)
    said = "Young leave better from: 560 days is far from the 56 days of the other Potamotrygon"
    assert said in words(page)
    assert not Species.objects.filter(accepted_name="Potamotrygon nova").exists()
    mark = page.content.decode().partition('name="sure" value="')[2].partition('"')[0]
    assert "is written down" in words(send(as_keeper, address, **typed, sure=mark))


def test_the_figures_of_one_on_record_are_asked_about_too(as_keeper):
    motoro = cast.species("motoro").profile
    address = reverse("animals:figures", args=[motoro.pk])
    page = send(as_keeper, address, leave_better_days_value="560")
    assert "560 days is far from the 56 days of the other Potamotrygon on record" in words(page)
    assert motoro.figures.get(name="leave_better_days").value == 56


def test_nobody_is_asked_about_a_first_of_its_genus_that_is_near_what_it_begins_with(owner):
    typed = {"gestation_mean_days": Typed(120, "A", "")}
    with pytest.raises(DoubtError, match="45 days of a blank live-bearing fish"):
        add_species(
            by=owner,
            start=blank_start(),
            typed={"gestation_mean_days": Typed(150, "A", "")},
            length_unit="cm",
            accepted_name="Lanternus magnus",
        )
    found = add_species(
        by=owner,
        start=blank_start(),
        typed=typed,
        length_unit="cm",
        accepted_name="Lanternus magnus",
    )
    assert found.profile.figures.get(name="gestation_mean_days").value == 120


def test_a_season_of_a_small_live_bearer_follows_from_its_own_figures(small):
    """28 days, give or take 2: mated on a day, due four weeks later, born on the day."""
    program, today = the_program(), clock.today()
    grown = {"pure": small.key, "born_on": cast.ago(130)}  # younger than any ray that bore
    mira, deneb = cast.female("Mira", **grown), cast.male("Deneb", **grown)
    cast.pair(mira, deneb, 22, 18)
    cast.see(mira, 20, "copulation", male=deneb)
    found = season_of(mira, program, asof=today).estimate
    assert found.chance > 0.5
    days = (found.due.p05 - cast.ago(20)).days, (found.due.p95 - cast.ago(20)).days
    assert 20 <= days[0] <= 28 <= days[1] <= 36
    born_on = cast.ago(-8)
    litter = record_birth(
        dam=mira, born_on=born_on, pups=[PupFacts()] * 35, today=born_on, by=None, sure=cast.SURE
    )
    pups = [pup.animal for pup in litter.pups.select_related("animal__dam")]
    assert len(pups) == 35
    assert {pup.dam for pup in pups} == {mira}
    assert all_profiles().by_species[small.pk].label == "L. minimus"
    after = season_of(mira, program, asof=born_on)
    assert after.estimate.chance < 0.5


def test_pages_of_a_small_live_bearer_are_drawn(as_keeper, small):
    mira = cast.female("Mira", pure=small.key, born_on=cast.ago(400))
    cast.pair(mira, cast.male("Deneb", pure=small.key, born_on=cast.ago(400)), 25, 18)
    cast.see(mira, 20, "copulation")
    for route in ("animals:detail", "pairings:female"):
        page = as_keeper.get(reverse(route, args=[mira.pk]))
        assert page.status_code == 200
    page = words(as_keeper.get(reverse("animals:species")))
    assert "Gestation 28 ± 2 days" in page
    assert "lantern fish, measured by standard length" in page


def test_a_name_that_is_put_right_names_its_figures_too(as_keeper, small):
    address = reverse("program:change", args=["species", small.pk])
    send(as_keeper, address, accepted_name="Lanternus parvus")
    small.refresh_from_db()
    assert (small.accepted_name, small.profile.label) == ("Lanternus parvus", "L. parvus")


def test_a_species_that_animals_are_of_is_not_withdrawn(as_keeper, small):
    cast.female("Mira", pure=small.key)
    address = reverse("program:withdraw", args=["species", small.pk])
    page = as_keeper.post(address, {"reason": "not kept"})
    said = "Lanternus minimus cannot be withdrawn, because animal “Mira” rests on it."
    assert said in words(page)
    assert Species.objects.filter(pk=small.pk).exists()


def test_one_that_is_undone_keeps_its_figures_and_can_be_brought_back(as_keeper):
    send(as_keeper, **SMALL, once="a-token")
    act = Act.objects.latest("pk")
    as_keeper.post(reverse("program:undo", args=[act.pk]))
    small = Species.every.get(accepted_name="Lanternus minimus")
    assert small.is_withdrawn
    assert small.profile.figures.count() > 20
    as_keeper.post(reverse("program:bring_back", args=["species", small.pk]))
    assert (
        Species.objects.get(pk=small.pk).profile.figures.get(name="gestation_mean_days").value == 28
    )


def test_the_file_brings_back_nothing_that_a_person_changed(as_keeper, small):
    jabuti = cast.species("jabuti")
    as_keeper.post(reverse("program:withdraw", args=["species", jabuti.pk]), {"reason": "not kept"})
    motoro = cast.species("motoro")
    send(as_keeper, reverse("program:change", args=["species", motoro.pk]), trade_name="own word")
    figures = reverse("animals:figures", args=[motoro.profile_id])
    send(as_keeper, figures, gestation_mean_days_value="118")
    before = {
        model: list(model._base_manager.order_by("pk").values())
        for model in (Species, Profile, ProfileFigure)
    }
    assert load_species() == 0
    for model, rows in before.items():
        assert list(model._base_manager.order_by("pk").values()) == rows
    assert Species.every.get(pk=jabuti.pk).is_withdrawn


def test_a_species_of_the_file_that_somebody_wrote_down_before_is_not_doubled(owner):
    Species.every.filter(key="tigrina").delete()
    start = start_from(cast.species("motoro"))
    own = add_species(
        by=owner, start=start, typed={}, length_unit="cm", accepted_name="Potamotrygon tigrina"
    )
    load_species()
    assert list(Species.every.filter(accepted_name="Potamotrygon tigrina")) == [own]


def test_a_viewer_reads_and_writes_nothing(client, viewer):
    client.force_login(viewer)
    page = words(client.get(reverse("animals:species")))
    assert "New species" not in page
    assert client.post(NEW, SMALL).status_code == 403
    assert not Species.objects.filter(accepted_name="Lanternus minimus").exists()


def test_what_a_species_has_not_is_an_error_of_the_code(owner):
    with pytest.raises(ValueError, match="no 'wings'"):
        add_species(by=owner, start=blank_start(), typed={}, length_unit="cm", wings=2)


def test_an_unreadable_figure_is_refused_by_name(owner):
    with pytest.raises(ValidationError) as refused:
        add_species(
            by=owner,
            start=blank_start(),
            typed={"gestation_mean_days": Typed(1, "A", "")},
            length_unit="cm",
            accepted_name="Lanternus magnus",
        )
    assert list(refused.value.message_dict) == ["gestation_mean_days"]
    assert not Animal.objects.exists()
