"""Who waits for what, and which pup fits: known answers on small litters."""

import datetime
import re

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from benchmarks.started import forget_everything
from breeding.animals import services as animals
from breeding.animals.models import Strain
from breeding.buyers import services, waiting
from breeding.program.services import withdraw
from tests import cast
from tests.buyers.litters import TODAY, litter_of, pup

pytestmark = pytest.mark.django_db


@pytest.fixture
def litter(owner):
    return litter_of(cast.female("Vega", pure="leopoldi"), cast.male("Deneb", pure="leopoldi"))


@pytest.fixture
def kim(owner):
    return services.add_contact(by=owner, name="Kim Lund")


def wish(contact, on="2026-10-01", **parts):
    return waiting.add_wish(contact, by=None, wished_on=cast.day(on), **parts)


def fits(one, program=None):
    (row,) = waiting.what_fits([one], program or cast.the_program(), asof=TODAY)
    return {fit.animal.name: fit for fit in row.fits}


def test_a_pup_that_is_old_and_large_enough_fits_an_open_wish(litter, kim):
    found = fits(wish(kim))
    assert {name for name, fit in found.items() if fit.is_fit} == {"Alya", "Botein"}
    assert found["Chara"].not_yet == ("1 cm more disc width",)  # 12 of at least 13 cm


def test_no_pup_fits_before_the_least_age(owner, kim):
    litter_of(cast.female("Vega"), days_old=41, widths=(160,), sexes="F")
    assert fits(wish(kim))["Alya"].not_yet == ("1 more day",)


def test_sex_species_and_kind_are_held_against_a_pup(litter, kim):
    assert fits(wish(kim, sex="F"))["Botein"].against == ("male, female wanted",)
    assert fits(wish(kim, species=cast.species("leopoldi"), kind="pure"))["Alya"].is_fit
    motoro = fits(wish(kim, species=cast.species("motoro")))["Alya"]
    assert motoro.against == ("not P. motoro",)
    assert fits(wish(kim, kind="hybrid"))["Alya"].against == ("pure, a hybrid wanted",)


def test_a_hybrid_fits_who_wishes_one_of_its_species_but_not_pure(owner, kim):
    litter_of(cast.female("Vega", pure="leopoldi"), cast.male("Deneb", pure="motoro"))
    assert fits(wish(kim, species=cast.species("motoro"), kind="hybrid"))["Alya"].is_fit
    assert fits(wish(kim, kind="pure"))["Alya"].against == ("a hybrid, pure wanted",)


def test_what_is_unknown_is_never_taken_for_fitting(owner, kim):
    litter_of(cast.female("Vega", pure="leopoldi"), None, sexes="UFM")
    assert fits(wish(kim, kind="pure"))["Alya"].against == ("whether it is pure is not known",)
    assert fits(wish(kim, kind="hybrid"))["Alya"].against == (
        "whether it is a hybrid is not known",
    )
    assert fits(wish(kim, sex="M"))["Alya"].against == ("its sex is not known, male wanted",)


def test_the_wished_width_is_waited_for(litter, kim):
    found = fits(wish(kim, least_disc_width_mm=155))
    assert found["Alya"].is_fit
    assert found["Botein"].not_yet == ("15.0 cm, wanted from 15.5 cm on",)
    inches = fits(wish(kim, least_disc_width_mm=155), cast.the_program(length_unit="in"))
    assert inches["Botein"].not_yet == ("5.9 in, wanted from 6.1 in on",)


def test_a_strain_is_looked_for_by_name(litter, kim):
    pale = Strain.objects.create(name="Paper Lantern")
    assert fits(wish(kim, strain=pale))["Alya"].against == ("not of the strain Paper Lantern",)
    animals.change_animal(pup(litter, "Alya"), strain=pale)
    assert fits(wish(kim, strain=pale))["Alya"].is_fit


def test_a_strain_of_another_species_is_refused_by_name(kim):
    pale = Strain.objects.create(name="Pale", species=cast.species("leopoldi"))
    with pytest.raises(ValidationError, match="Pale is a strain of Potamotrygon leopoldi"):
        wish(kim, species=cast.species("motoro"), strain=pale)


def test_a_pup_kept_for_somebody_fits_nobody_else(litter, kim, owner):
    services.reserve_animal(pup(litter, "Alya"), kim, by=owner, on=TODAY)
    assert fits(wish(kim))["Alya"].against == ("reserved for Kim Lund",)


def test_a_pup_that_is_not_here_and_one_past_a_year_are_no_candidates(litter, kim):
    animals.change_state(pup(litter, "Alya"), state="left", on=TODAY)
    assert "Alya" not in fits(wish(kim))
    later = TODAY + datetime.timedelta(days=400)
    assert waiting.young(asof=later) == []


def test_the_oldest_wish_comes_first_and_a_withdrawn_one_not_at_all(litter, kim, owner):
    ada = services.add_contact(by=owner, name="Ada Berg")
    wish(kim, on="2026-10-02")
    first = wish(ada, on="2026-09-30")
    gone = wish(ada, on="2026-01-01")
    withdraw(gone, by=owner, now=datetime.datetime.now(datetime.UTC), reason="has one")
    found = waiting.who_fits(pup(litter, "Alya"), cast.the_program(), asof=TODAY)
    assert [fit.wish.contact.name for fit in found] == ["Ada Berg", "Kim Lund"]
    assert found[0].wish == first


def test_an_animal_that_is_no_pup_is_held_against_nothing(kim, owner):
    wish(kim)
    assert waiting.who_fits(cast.female("Mira"), cast.the_program(), asof=TODAY) == []


# ---------------------------------------------------------------------------------------- pages


@pytest.fixture
def today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.mark.usefixtures("today")
def test_wish_new_writes_down_a_wish_and_the_contact_shows_what_fits(litter, kim, as_keeper):
    typed = {"sex": "F", "kind": "pure", "wished_on": "2026-10-01", "least_disc_width_mm": "14"}
    answer = as_keeper.post(reverse("buyers:wish_new", args=[kim.pk]), typed, follow=True)
    said = answer.content.decode()
    assert "Pure, female, from 14.0 cm" in said
    assert "Alya" in said
    assert "fits, old and large enough" in said
    assert kim.wishes.get().least_disc_width_mm == 140


@pytest.mark.usefixtures("today")
@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("least_disc_width_mm", "-3"),
        ("least_disc_width_mm", "abc"),
        ("wished_on", "31 Feb"),
        ("wished_on", "2026-11-26"),  # tomorrow
        ("sex", "X"),
        ("species", "999999"),
        ("strain", "x"),
    ],
)
def test_wish_new_refuses_what_cannot_be(kim, as_keeper, name, value):
    typed = {"wished_on": "2026-10-01", name: value}
    answer = as_keeper.post(reverse("buyers:wish_new", args=[kim.pk]), typed)
    assert answer.status_code == 200
    assert "errorlist" in answer.content.decode()
    assert not kim.wishes.exists()


@pytest.mark.usefixtures("today")
def test_wish_edit_keeps_the_place_in_the_list(litter, kim, as_keeper):
    one = wish(kim)
    typed = {"wished_on": "2026-10-01", "sex": "M"}
    as_keeper.post(reverse("buyers:wish_edit", args=[one.pk]), typed)
    one.refresh_from_db()
    assert (one.sex, one.wished_on) == ("M", cast.day("2026-10-01"))


@pytest.mark.usefixtures("today")
def test_wish_withdraw_takes_it_off_the_list_with_the_reason(litter, kim, as_keeper):
    one = wish(kim, note="for the long tank")
    as_keeper.post(reverse("program:withdraw", args=["wish", one.pk]), {"reason": "has one"})
    one.refresh_from_db()
    assert one.withdrawn_reason == "has one"
    assert "for the long tank" not in as_keeper.get(reverse("buyers:waiting")).content.decode()


@pytest.mark.usefixtures("today")
def test_waiting_asks_no_more_with_ten_more_wishes_and_pups(litter, kim, as_keeper, owner):
    forget_everything()  # what another test has kept is looked at with a question each
    wish(kim)
    as_keeper.get(reverse("buyers:waiting"))
    with CaptureQueriesContext(connection) as few:
        as_keeper.get(reverse("buyers:waiting"))
    for number in range(10):
        wish(services.add_contact(by=owner, name=f"Buyer {number}"), sex="F")
    litter_of(cast.female("Mira"), widths=(150,) * 5, sexes="FFFFF")
    as_keeper.get(reverse("buyers:waiting"))
    with CaptureQueriesContext(connection) as many:
        as_keeper.get(reverse("buyers:waiting"))
    assert len(many) == len(few)
    assert len(few) < 24


@pytest.mark.usefixtures("today")
def test_reserve_names_who_waits_for_one_like_it(litter, kim, as_keeper):
    wish(kim, sex="F")
    said = as_keeper.get(reverse("buyers:reserve", args=[pup(litter, "Alya").pk])).content.decode()
    assert "Kim Lund" in said
    assert "<strong>fits</strong>" in said


def test_a_wish_in_words_from_before_stays_readable(as_keeper, owner):
    ada = services.add_contact(by=owner, name="Ada Berg", wish="a pair from different dams")
    said = as_keeper.get(ada.get_absolute_url()).content.decode()
    assert "a pair from different dams" in said


@pytest.mark.usefixtures("today")
def test_detail_says_what_a_wish_has_come_to_and_which_were_taken_off(
    litter, kim, owner, as_keeper
):
    one = wish(kim, sex="M", note="for the long tank")
    services.reserve_animal(pup(litter, "Botein"), kim, by=owner, on=TODAY)
    said = " ".join(as_keeper.get(kim.get_absolute_url()).content.decode().split())
    assert "is reserved for them since" in said
    assert "and is what this wish asks for" in said
    now = datetime.datetime.now(datetime.UTC)
    withdraw(one, by=owner, now=now, reason="has one")
    said = " ".join(as_keeper.get(kim.get_absolute_url()).content.decode().split())
    assert "Wishes taken off the list (1)" in said
    assert "has one" in said


@pytest.mark.usefixtures("today")
def test_a_wish_that_no_pup_fits_says_so(litter, kim, as_keeper):
    wish(kim, kind="hybrid")
    assert (
        "None of the pups that are here is one."
        in as_keeper.get(reverse("buyers:waiting")).content.decode()
    )


def test_a_keeper_finds_the_waiting_list(as_keeper):
    assert reverse("buyers:waiting") in as_keeper.get(reverse("buyers:index")).content.decode()


@pytest.mark.usefixtures("today")
def test_a_wish_in_which_nothing_is_chosen_asks_before_it_means_any_pup(kim, as_keeper):
    address, typed = reverse("buyers:wish_new", args=[kim.pk]), {"wished_on": "2026-10-01"}
    asked = as_keeper.post(address, typed).content.decode()
    assert "Nothing is chosen: this wish is for any pup at all." in asked
    assert not kim.wishes.exists()
    (sure,) = re.findall(r'name="sure" value="([^"]+)"', asked)
    as_keeper.post(address, typed | {"sure": sure})
    assert (kim.wishes.get().species, kim.wishes.get().sex) == (None, "")
