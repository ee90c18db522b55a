"""Where tanks and pairings disagree, said in words with what to do; and who was with whom."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.services import change_state
from breeding.housing.models import Tank
from breeding.housing.services import close_divider, move_animal
from breeding.pairings.queries import disagreements
from breeding.pairings.services import separate
from breeding.program import clock
from breeding.program.queries import the_program
from tests import cast
from tests.cast import ago, pair, words

pytestmark = pytest.mark.django_db
COMPANY = reverse("pairings:company")


@pytest.fixture
def pool():
    return Tank.objects.create(name="Boathouse pool", can_divide=True)


@pytest.fixture
def bay():
    return Tank.objects.create(name="Quiet bay")


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb", pure="motoro")


def move(animal, tank, days, **more):
    return move_animal(animal, tank, on=ago(days), by=None, **more)


def found(days=0):
    return disagreements(the_program(), asof=ago(days))


def test_a_pairing_that_goes_on_in_two_tanks(mira, deneb, pool, bay):
    pairing = pair(mira, deneb, 20)
    move(mira, pool, 30)
    move(deneb, bay, 12)
    (one,) = found()
    assert (one.kind, one.female, one.males, one.since) == ("apart", mira, (deneb,), ago(12))
    assert "Mira is in Boathouse pool and Deneb in Quiet bay" in one.words
    assert one.ways[0][1:] == ("pairings:separate", pairing.pk, "")
    separate(pairing, on=ago(12), today=clock.today())
    assert found() == []


def test_two_sides_of_a_closed_divider_are_apart_as_well(mira, deneb, pool):
    for animal in (mira, deneb):
        move(animal, pool, 30)
    pair(mira, deneb, 20)
    assert found() == []
    close_divider(pool, left=[mira], right=[deneb], on=ago(5), by=None)
    (one,) = found()
    assert "Boathouse pool, left side and Deneb in Boathouse pool, right side" in one.words


def test_two_in_one_tank_with_no_pairing_are_one_thing_for_all_her_males(mira, deneb, pool):
    altair = cast.male("Altair", pure="motoro")
    for animal, days in ((mira, 30), (deneb, 20), (altair, 10)):
        move(animal, pool, days)
    (one,) = found()
    assert (one.kind, one.males, one.since) == ("unrecorded", (deneb, altair), ago(20))
    assert "no pairing is on record" in one.words
    assert "Deneb and Altair: of unknown age and size, counted as mature." in one.words
    assert one.ways[0].query == f"?female={mira.pk}&male={deneb.pk}"
    pair(mira, deneb, 20)
    pair(mira, altair, 10)
    assert found() == []


def test_a_pairing_that_has_ended_while_both_stay_in_one_tank(mira, deneb, pool, bay):
    for animal in (mira, deneb):
        move(animal, pool, 30)
    separate(pair(mira, deneb, 20), on=ago(6), today=clock.today())
    (one,) = found()
    assert (one.kind, one.since) == ("ended", ago(6))
    assert "Move the male or close the divider rather than move her." in one.words
    assert one.ways[0][1:3] == ("housing:move", deneb.pk)
    move(deneb, bay, 6)
    assert found() == []


def test_put_together_anew_after_a_pairing_is_another_company(mira, deneb, pool, bay):
    for animal in (mira, deneb):
        move(animal, pool, 60)
    separate(pair(mira, deneb, 50), on=ago(40), today=clock.today())
    move(deneb, bay, 40)
    move(deneb, pool, 10)
    (one,) = found()
    assert (one.kind, one.since) == ("unrecorded", ago(10))


def test_nothing_is_said_on_the_very_day_so_that_acts_can_be_finished(mira, deneb, pool):
    move(mira, pool, 30)
    move(deneb, pool, 0)
    assert found() == []
    assert len(found(-1)) == 1


def test_the_dead_and_the_young_disagree_with_nobody(mira, deneb, pool):
    pup = cast.male("Altair", pure="motoro", born_on=ago(90), born_precision="day")
    for animal in (mira, deneb, pup):
        move(animal, pool, 30)
    change_state(deneb, state="died", on=ago(3))
    assert found() == []


def test_company_counts_days_by_source_and_shows_what_disagrees(as_keeper, mira, deneb, pool):
    pair(mira, deneb, 9)
    move(mira, pool, 30)
    move(deneb, pool, 4)
    cast.female("Vega")
    page = words(as_keeper.get(COMPANY))
    assert "10 days" in page  # both ends counted
    assert "10 by the pairing, 5 by the tank" in page
    assert "the tanks and the pairings say the same" in page
    assert "Vega" not in page
    move(cast.male("Altair", pure="motoro"), pool, 3)
    page = words(as_keeper.get(COMPANY))
    assert "no pairing is on record" in page
    assert f"{reverse('pairings:new')}?female={mira.pk}" in page


def test_company_says_what_to_do_first_when_there_is_none(as_viewer):
    page = words(as_viewer.get(COMPANY))
    assert "Write down who is in which tank" in page
    assert "Put two together" not in page


def test_company_offers_a_viewer_nothing_to_press(as_viewer, mira, deneb, pool):
    for animal in (mira, deneb):
        move(animal, pool, 5)
    page = words(as_viewer.get(COMPANY))
    assert "no pairing is on record" in page
    assert "Move Deneb" not in page


def test_company_asks_the_same_questions_with_ten_more_females(as_keeper, mira, deneb, pool):
    for animal in (mira, deneb):
        move(animal, pool, 30)

    def questions():
        with CaptureQueriesContext(connection) as asked:
            assert as_keeper.get(COMPANY).status_code == 200
        return len(asked)

    questions()
    before = questions()
    for number in range(10):
        female = cast.female(f"Star {number}", pure="motoro")
        move(female, pool, 10)
        pair(female, cast.male(f"Comet {number}"), 8)
    questions()
    assert questions() <= before < 20


# ------------------------------------------------------------------------- of unknown sex


def test_an_adult_of_unknown_sex_in_her_tank_is_said_with_since_when(mira, pool):
    vesta = cast.ray("Vesta", pure="motoro", born_on=ago(900), born_precision="day")
    move(mira, pool, 200)
    move(vesta, pool, 100)
    (one,) = found()
    assert (one.kind, one.female, one.males, one.since) == (
        "unknown_sex",
        mira,
        (vesta,),
        ago(100),
    )
    assert one.words.startswith("Vesta, of unknown sex, in Boathouse pool with Mira since ")
    assert "100 days: counted as no company" in one.words
    assert [way[1:3] for way in one.ways] == [
        ("animals:edit", vesta.pk),
        ("housing:move", vesta.pk),
    ]


def test_one_of_unknown_sex_is_asked_about_from_the_day_it_could_breed(mira, pool):
    """P. motoro: mature from 548 days on."""
    young = cast.ray("Vesta", pure="motoro", born_on=ago(550), born_precision="day")
    for animal in (mira, young):
        move(animal, pool, 200)
    assert found(2) == []
    (one,) = found()
    assert one.since == ago(2)


def test_one_of_unknown_sex_elsewhere_or_found_to_be_female_is_no_question(mira, pool, bay):
    vesta = cast.ray("Vesta", pure="motoro")
    move(mira, pool, 200)
    move(vesta, bay, 100)
    assert found() == []
    move(vesta, pool, 50)
    (one,) = found()
    assert "Vesta: of unknown age and size, counted as grown." in one.words
    vesta.sex = "F"
    vesta.save()
    assert found() == []


def test_kin_over_the_threshold_are_led_apart_first_and_never_offered_as_a_pairing(
    mira, deneb, pool
):
    vega = cast.female("Vega", dam=mira, born_on=ago(1500))
    altair = cast.male("Altair", dam=mira, sire=deneb, born_on=ago(1500))
    for animal, days in ((vega, 30), (altair, 30), (deneb, 20)):
        move(animal, pool, days, sure=cast.SURE, reason="room")
    (one,) = found()
    assert (
        "Altair is kin: their young would have F 12.5 %. Move him away first, or close the divider."
    ) in one.words
    assert [(way.words, way.route) for way in one.ways] == [
        ("Move Altair", "housing:move"),
        ("Write down Vega and Deneb", "pairings:new"),
        ("Move Deneb", "housing:move"),
    ]
    move(deneb, Tank.objects.create(name="Inlet"), 10)
    (one,) = found()
    assert [way.words for way in one.ways] == ["Move Altair"]
    assert "Write the pairing down" not in one.words
