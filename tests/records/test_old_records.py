"""Old records come in of animals that are long gone, and each kind of table by its own service."""

import pytest
from django.urls import reverse

from breeding.animals.models import Animal, Measurement, Species, Strain
from breeding.buyers.models import Contact, HandOver
from breeding.litters.models import Litter
from breeding.pairings.models import Pairing, Sighting
from breeding.program import clock
from breeding.records.models import ImportDraft
from tests import cast
from tests.cast import words
from tests.records.tables import choose, latest, paste, problems_of, proposal_of, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair(owner):
    """Two that left at some time before they were written down, nobody knows when."""
    return cast.female("Mira", state="left"), cast.male("Deneb", state="died")


def kind_of(answer) -> str:
    return str(ImportDraft.objects.latest("pk").kind)


def test_a_pairing_and_a_sighting_of_long_ago_come_in_of_animals_that_are_gone(pair, as_keeper):
    answer = paste(as_keeper, "female,male,paired,parted\nMira,Deneb,2016-03-01,2016-04-01\n")
    assert (kind_of(answer), problems_of(answer)) == ("pairings", [])
    write(as_keeper)
    assert f"{Pairing.objects.get().separated_on}" == "2016-04-01"
    answer = paste(as_keeper, "female,date,sign,with\nMira,2016-03-02 21:30,mating,Deneb\n")
    assert (kind_of(answer), problems_of(answer)) == ("sightings", [])
    write(as_keeper)
    assert Sighting.objects.get().kind.key == "copulation"


def test_nothing_of_today_comes_in_of_one_that_was_gone_when_it_was_written_down(pair, as_keeper):
    answer = paste(as_keeper, f"female,date,sign\nMira,{clock.today()},mating\n")
    assert "Mira left" in problems_of(answer)[0]


def test_young_on_record_are_taken_into_the_birth_and_not_made_twice(as_keeper, owner):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    born = {"born_on": cast.day("2024-05-03"), "born_precision": "day"}
    pip = cast.ray("Pip", dam=mira, sire=deneb, **born)
    answer = paste(as_keeper, "dam,born,alive,dead,midwife\nMira,2024-05-04,1,2,Sam\n")
    assert (kind_of(answer), problems_of(answer)) == ("litters", [])
    write(as_keeper)
    litter = Litter.objects.get()
    assert [pup.animal for pup in litter.pups.filter(alive=True)] == [pip]
    assert (litter.pups.filter(alive=False).count(), litter.note) == (2, "midwife: Sam")
    assert Animal.objects.count() == 3


def test_fewer_born_than_are_on_record_is_a_problem(as_keeper, owner):
    mira = cast.female("Mira")
    for name in ("Pip", "Pop"):
        cast.ray(name, dam=mira, born_on=cast.day("2024-05-03"), born_precision="day")
    answer = paste(as_keeper, "dam,born,alive\nMira,2024-05-03,1\n")
    assert problems_of(answer) == [
        "Line 2, born alive: 1 pup born alive, but 2 animals of Mira are on record from then: "
        "Pip and Pop."
    ]


def test_a_sale_of_one_that_left_is_told_with_its_day_and_its_price(as_keeper, owner):
    cast.female("Mira", state="left")
    cast.female("Vega", state="left", state_on=cast.day("2020-01-01"))
    head = "animal,buyer,date,price,transport\n"
    answer = paste(as_keeper, f'{head}Mira,Kim,2019-05-01,"350,50 €",courier\n')
    assert kind_of(answer) == "sales"
    page = answer.context["answers"].open_rows()
    assert [asked.initial for asked, _ in page] == ["new"], "nobody is called so: a new person"
    address = reverse("records:columns", args=[latest().pk])
    ((asked, _),) = page
    as_keeper.post(address, {"answers": "1", f"act_{asked.name}": "new"})
    marks = as_keeper.get(address).context["proposal"].marks
    as_keeper.post(reverse("records:write", args=[latest().pk]), {"sure": marks})
    gone = HandOver.objects.get()
    assert (f"{gone.price:.2f} {gone.currency}", gone.contact.name) == ("350.50 EUR", "Kim")
    assert f"{Animal.objects.get(call_name='Mira').state_on}" == "2019-05-01"
    answer = paste(as_keeper, f"{head}Vega,Kim,2019-05-01,,courier\n")
    assert "Vega left on 1 January 2020 by its own record" in problems_of(answer)[0]


def test_the_same_table_twice_is_asked_about(as_keeper, owner):
    cast.female("Mira")
    table = "animal,date,width (mm),weight in kg,mood\nMira,2024-05-01,412,2.5,calm\n"
    paste(as_keeper, table)
    write(as_keeper)
    mira = Measurement.objects.get()
    assert (mira.disc_width_mm, mira.weight_g, mira.note) == (412, 2500, "mood: calm")
    answer = paste(as_keeper, table)
    assert [doubt.sentence for _, doubt in proposal_of(answer).doubts] == [
        "Mira (001) was measured so on 1 May 2024 on record already; this writes it down twice."
    ]
    write(as_keeper)
    assert Measurement.objects.count() == 1


def test_people_strains_and_species_come_in(as_keeper, owner):
    paste(as_keeper, "name,email,phone,town,hobby\nKim,kim@example.org,0123,Port,boats\n")
    write(as_keeper)
    kim = Contact.objects.get()
    assert (kim.reach, kim.wish) == ("kim@example.org, 0123, Port", "hobby: boats")
    paste(as_keeper, "strain,species,described\nLantern,P. motoro,bright\n")
    choose(as_keeper, column_2="description")
    write(as_keeper)
    assert Strain.objects.get().species == cast.species("motoro")
    table = (
        "accepted name,trade name,like,gestation mean days\nPoecilia lucis,lamp fish,motoro,120\n"
    )
    answer = paste(as_keeper, table)
    marks = proposal_of(answer).marks
    assert (kind_of(answer), problems_of(answer)) == ("species", [])
    as_keeper.post(reverse("records:write", args=[latest().pk]), {"sure": marks})
    lamp = Species.objects.get(trade_name="lamp fish")
    assert lamp.profile.figures.get(name="gestation_mean_days").value == 120


def test_another_kind_is_chosen_and_its_columns_are_guessed_anew(as_keeper, owner):
    cast.female("Mira")
    answer = paste(as_keeper, "name,date,weight\nMira,2024-05-01,2500\n")
    assert kind_of(answer) == "measurements"
    answer = choose(as_keeper, kind="animals")
    assert latest().columns == {"call_name": 0, "weight": 2}
    assert "1 animal can be written down" in words(answer)


def test_a_new_tank_whose_name_cannot_be_is_a_problem_and_no_fault(as_keeper, owner):
    cast.female("Mira")
    paste(as_keeper, f"animal,tank,from\nMira,{'x' * 90},2024-05-01\n")
    address = reverse("records:columns", args=[latest().pk])
    ((asked, _),) = as_keeper.get(address).context["answers"].open_rows()
    as_keeper.post(address, {"answers": "1", f"act_{asked.name}": "new"})
    answer = as_keeper.get(address)
    assert answer.status_code == 200
    assert "at most 60 characters" in problems_of(answer)[0]
