"""What is asked before animals come into one water, whatever brings them there."""

import re

import pytest
from django.urls import reverse

from breeding.housing.models import Stay, Tank
from breeding.housing.services import (
    close_divider,
    move_animal,
    move_everybody,
    open_divider,
)
from breeding.pairings.models import Outcome, Rest
from breeding.pairings.services import record_outcome
from breeding.program import clock
from breeding.program.problems.doubts import DoubtError
from tests import cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def pool(owner):
    return Tank.objects.create(name="Boathouse pool", can_divide=True)


@pytest.fixture
def bay(owner):
    return Tank.objects.create(name="Lantern bay")


@pytest.fixture
def kin(pool):
    """Mira with her daughters Vega and Lyra by her son Altair's sire, all in the pool."""
    mira, deneb = cast.female("Mira", born_on=cast.ago(3000)), cast.male("Deneb")
    altair = cast.male("Altair", dam=mira, sire=deneb, born_on=cast.ago(1500))
    vega = cast.female("Vega", dam=mira, sire=deneb, born_on=cast.ago(1400))
    lyra = cast.female("Lyra", dam=mira, sire=altair, born_on=cast.ago(800))
    for one in (mira, vega, lyra):
        put(one, pool)
    return {"mira": mira, "vega": vega, "lyra": lyra, "altair": altair}


def put(animal, tank, **more):
    return move_animal(animal, tank, on=more.pop("on", clock.today()), by=None, **more)


def asked_of(act):
    """What is asked of an act that is refused until it is answered."""
    with pytest.raises(DoubtError) as asked:
        act()
    return asked.value.doubts


def test_a_male_that_comes_to_his_dam_sister_and_daughter_is_asked_with_f_and_relation(kin, pool):
    doubts = asked_of(lambda: put(kin["altair"], pool))
    assert [one.sentence for one in doubts] == [
        "Altair and his daughter Lyra could breed: their young would have F 37.5 %.",
        "Altair and his dam Mira could breed: their young would have F 25 %.",
        "Altair and his full sister Vega could breed: their young would have F 25 %.",
    ]
    assert all(one.needs_reason for one in doubts)
    assert not Stay.objects.filter(animal=kin["altair"]).exists()


def test_a_tick_alone_does_not_do_where_the_program_asks_for_a_reason(kin, pool):
    asked_of(lambda: put(kin["altair"], pool, sure=cast.SURE))
    stay = put(kin["altair"], pool, sure=cast.SURE, reason="for one night, behind a net")
    assert Stay.objects.get(pk=stay.pk).reason == "for one night, behind a net"
    assert "his dam Mira" in " ".join(stay.follows)


def test_from_the_caution_on_a_tick_does(owner, pool):
    cast.the_program(inbreeding_caution=0.1, inbreeding_needs_reason=0.3)
    mira = cast.female("Mira", born_on=cast.ago(3000))
    put(mira, pool)
    son = cast.male("Altair", dam=mira, born_on=cast.ago(1500))
    (doubt,) = asked_of(lambda: put(son, pool))
    assert not doubt.needs_reason
    assert put(son, pool, sure={doubt.mark}).reason == ""


def test_strangers_and_those_of_one_sex_are_not_asked_about(kin, pool):
    assert put(cast.male("Rigel", born_on=cast.ago(1500)), pool).follows == ()
    assert put(cast.female("Nashira", dam=kin["mira"]), pool).follows == ()


def test_kin_farther_than_siblings_are_told_by_closeness(pool):
    dam = cast.female("Mira", born_on=cast.ago(4000))
    one = cast.female("Vega", dam=dam, sire=cast.male("Deneb"), born_on=cast.ago(3000))
    niece = cast.female("Lyra", dam=one, born_on=cast.ago(1000))
    uncle = cast.male("Altair", dam=dam, sire=cast.male("Rigel"), born_on=cast.ago(1500))
    cast.the_program(inbreeding_caution=0.05)
    put(niece, pool)
    (doubt,) = asked_of(lambda: put(uncle, pool))
    assert doubt.sentence == (
        "Altair and Lyra, as close as first cousins, could breed: their young would have F 6.25 %."
    )


def test_moving_all_asks_of_each_pair_that_meets_anew(kin, pool, bay):
    put(kin["altair"], bay)
    doubts = asked_of(lambda: move_everybody(pool, bay, on=clock.today(), by=None))
    assert len(doubts) == 3
    moved = move_everybody(
        pool, bay, on=clock.today(), by=None, sure=cast.SURE, reason="pool leaks"
    )
    assert {stay.reason for stay in moved} == {"pool leaks"}


def test_opening_a_divider_asks_of_those_on_both_sides(kin, pool):
    mira, vega, lyra, altair = kin["mira"], kin["vega"], kin["lyra"], kin["altair"]
    close_divider(pool, left=[mira, vega, lyra], right=[], on=clock.today(), by=None)
    assert put(altair, pool, side="right").follows == ()
    asked = asked_of(lambda: open_divider(pool, on=clock.today(), by=None))
    assert len(asked) == 3
    open_divider(pool, on=clock.today(), by=None, sure=cast.SURE, reason="they fight less so")
    assert not Stay.objects.filter(tank=pool, until=None).exclude(side="").exists()


def test_growing_siblings_are_told_of_with_the_day_from_which_the_first_two_could_breed(pool):
    mira = cast.female("Mira", born_on=cast.ago(3000))
    sire = cast.male("Deneb")
    lyra = cast.female("Lyra", dam=mira, sire=sire, born_on=cast.day("2026-09-01"))
    izar = cast.male("Izar", dam=mira, sire=sire, born_on=cast.day("2026-09-01"))
    put(lyra, pool)
    stay = put(izar, pool)
    assert stay.follows == (
        "Izar and his full sister Lyra in Boathouse pool could breed from 1 September 2027, "
        "their young with F 25 %: part them by sex before.",
    )


def test_pups_that_come_to_an_adult_are_asked_about_too(pool):
    rigel = cast.male("Rigel", born_on=cast.ago(1500))
    put(rigel, pool)
    pup = cast.ray("Izar", born_on=clock.today())
    (doubt,) = asked_of(lambda: put(pup, pool))
    assert "would come to Rigel in Boathouse pool; an adult can bite or crush them." in (
        doubt.sentence
    )


def test_a_male_with_a_resting_female_is_asked_about(pool):
    cast.the_program(rest_days=60)
    mira = cast.female("Mira", born_on=cast.ago(3000))
    put(mira, pool)
    born = record_outcome(
        female=mira, on=cast.ago(20), kind=Outcome.Kind.LIVE_BIRTH, today=clock.today(), by=None
    )
    rigel = cast.male("Rigel", born_on=cast.ago(1500))
    (doubt,) = asked_of(lambda: put(rigel, pool))
    assert doubt.sentence.startswith("Mira is meant to rest until ")
    Rest.objects.create(outcome=born, until=cast.ago(1))
    assert put(rigel, pool).follows == ()


def test_a_male_with_a_wounded_female_is_asked_about_until_a_better_look(pool):
    mira = cast.female("Mira", born_on=cast.ago(3000))
    put(mira, pool)
    cast.see(mira, 2, "fresh_bite_marks", severity=3)
    rigel = cast.male("Rigel", born_on=cast.ago(1500))
    (doubt,) = asked_of(lambda: put(rigel, pool))
    assert doubt.sentence.startswith("Mira is wounded, her marks were not healed on ")
    cast.see(mira, 1, "healing_marks", severity=1)
    assert put(rigel, pool).follows == ()


def test_a_male_with_a_female_near_birth_is_asked_about(pool):
    mira = cast.female("Mira", born_on=cast.ago(3000))
    deneb = cast.male("Deneb", born_on=cast.ago(3000))
    cast.pair(mira, deneb, 112, 105)
    cast.see(mira, 110)
    cast.see(mira, 108)
    put(mira, pool)
    (doubt,) = asked_of(lambda: put(deneb, pool))
    assert doubt.sentence.startswith("Mira is near birth, her window opens on ")


def test_an_arrival_that_leaves_quarantine_early_is_asked_about(pool, bay):
    bay.kind = Tank.Kind.QUARANTINE
    bay.save()
    put(cast.female("Mira"), pool, on=cast.day("2026-01-01"))
    rigel = cast.male("Rigel")
    put(rigel, bay, on=cast.day("2026-05-01"))
    (doubt,) = asked_of(lambda: put(rigel, pool, on=cast.day("2026-05-11")))
    assert (
        doubt.sentence
        == (
            "Rigel is in quarantine until 31 May 2026, 30 days from 1 May 2026, "
            "and would be with Mira in Boathouse pool."
        )
        or "Mira" not in doubt.sentence
    )
    assert put(rigel, pool, on=cast.day("2026-05-31")).follows == ()


def test_one_that_joins_another_in_quarantine_is_asked_about_and_one_that_comes_along_not(
    bay, pool
):
    bay.kind = Tank.Kind.QUARANTINE
    bay.save()
    put(cast.male("Rigel"), bay, on=cast.ago(12))
    (doubt,) = asked_of(lambda: put(cast.female("Mira"), bay))
    assert doubt.sentence == (
        "Mira joins Rigel in quarantine in Lantern bay: the 30 days begin anew for all that "
        "share the water."
    )


def test_the_page_asks_for_the_reason_keeps_it_and_says_it_in_the_receipt(as_keeper, kin, pool):
    address = reverse("housing:move", args=[kin["altair"].pk])
    sent = {"tank": f"{pool.pk}", "on": f"{clock.today()}"}
    page = as_keeper.post(address, sent)
    said = cast.words(page)
    assert "Altair and his dam Mira could breed: their young would have F 25 %." in said
    assert 'name="sure_reason"' in said
    mark = re.search(r'name="sure" value="([^"]+)"', page.content.decode())[1]
    again = cast.words(as_keeper.post(address, sent | {"sure": mark}))
    assert "Write a reason in a few words." in again
    long = as_keeper.post(address, sent | {"sure": mark, "sure_reason": "x" * 401})
    assert "has 401 characters; allowed are at most 400 characters" in cast.words(long)
    assert f'value="{"x" * 401}"' in long.content.decode()
    assert "maxlength" not in long.content.decode().partition('name="sure_reason"')[2][:300]
    assert not Stay.objects.filter(animal=kin["altair"], tank=pool).exists()
    done = as_keeper.post(address, sent | {"sure": mark, "sure_reason": "one night"}, follow=True)
    assert "Altair and his full sister Vega could breed" in cast.words(done)
    assert Stay.objects.get(animal=kin["altair"]).reason == "one night"


def test_moving_a_male_out_of_a_pairings_tank_offers_to_end_the_pairing(as_keeper, pool, bay):
    mira, rigel = cast.female("Mira"), cast.male("Rigel")
    put(mira, pool, on=cast.ago(9))
    put(rigel, pool, on=cast.ago(9))
    pairing = cast.pair(mira, rigel, 9)
    address = reverse("housing:move", args=[rigel.pk])
    assert "End the pairing of Mira and Rigel on that day" in cast.words(as_keeper.get(address))
    sent = {"tank": f"{bay.pk}", "on": f"{clock.today()}", f"end_{pairing.pk}": "on"}
    done = as_keeper.post(address, sent, follow=True)
    assert "Mira and Rigel have been apart since" in cast.words(done)
    pairing.refresh_from_db()
    assert (pairing.separated_on, pairing.moved, pairing.moved_to) == (clock.today(), "male", bay)


def test_a_pairing_goes_on_when_it_is_not_ticked_or_both_are_in_one_water_again(
    as_keeper, pool, bay
):
    mira, rigel = cast.female("Mira"), cast.male("Rigel")
    put(mira, bay, on=cast.ago(9))
    put(rigel, pool, on=cast.ago(9))
    pairing = cast.pair(mira, rigel, 9)
    sent = {"on": f"{clock.today()}", f"end_{pairing.pk}": "on"}
    as_keeper.post(reverse("housing:move", args=[rigel.pk]), sent | {"tank": f"{bay.pk}"})
    pairing.refresh_from_db()
    assert pairing.separated_on is None
    as_keeper.post(
        reverse("housing:move", args=[rigel.pk]), {"on": f"{clock.today()}", "tank": f"{pool.pk}"}
    )
    pairing.refresh_from_db()
    assert pairing.separated_on is None
