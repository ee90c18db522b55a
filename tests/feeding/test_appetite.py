"""Who eats and who refuses: one truth from meals and from what was seen, at every door."""

import datetime

import pytest

from breeding.agenda.queries import the_day
from breeding.animals.models import Animal
from breeding.feeding.foods_taken import feeds_on
from breeding.feeding.models import Food, Meal
from breeding.feeding.queries import appetites, feeding_since, last_eaten, silent
from breeding.feeding.services import change_feeding, feed
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.litters.raising.leaving import unwell_of
from breeding.pairings.care.healing import harm_open_of
from breeding.pairings.season.reading import season_of
from breeding.program import clock
from breeding.program.services import withdraw
from breeding.words.days import long_day
from tests import cast
from tests.cast import ago, see

pytestmark = pytest.mark.django_db


@pytest.fixture
def program():
    return cast.the_program()


@pytest.fixture
def worms():
    return Food.objects.create(name="Tank worms")


@pytest.fixture
def grown(program):
    return cast.male("Deneb", born_on=ago(1500), born_precision="day")


@pytest.fixture
def pup(program):
    return cast.ray("Alya", born_on=ago(60), born_precision="day")


def at(days: int, hour: int = 9) -> datetime.datetime:
    noon = datetime.datetime.combine(ago(days), datetime.time(hour), tzinfo=datetime.UTC)
    return min(noon, clock.now())


def meal(animal: Animal, days: int, took: str = "all", food: Food | None = None, tank=None):
    return feed(
        {animal: took},
        food=food,
        tank=tank,
        fed_at=at(days),
        now=clock.now(),
        by=None,
        sure=cast.SURE,
    )


def harm(animal):
    return harm_open_of(animal, asof=clock.today())


def test_one_refusal_is_a_sign_and_an_alarm_comes_by_age(pup, grown):
    for animal in (pup, grown):
        meal(animal, 4)
        meal(animal, 2, "none")
    assert harm(pup) is None
    meal(pup, 1, "none")
    meal(grown, 1, "none")
    assert harm(pup).fast.since == ago(2)
    assert harm(grown) is None, "a grown one is an alarm on the third day"
    meal(grown, 0, "none")
    assert harm(grown).fast.seen_on == ago(0)


def test_a_little_neither_begins_nor_ends_and_a_meal_ends(pup):
    meal(pup, 4, "none")
    meal(pup, 3, "none")
    meal(pup, 2, "little")
    meal(pup, 1, "unseen")
    assert harm(pup).fast.since == ago(4)
    meal(pup, 0)
    assert harm(pup) is None


def test_a_sighting_and_a_meal_end_each_other(grown):
    see(grown, 5, "off_food")
    assert harm(grown).fast.since == ago(5)
    meal(grown, 3)
    assert harm(grown) is None
    for days in (2, 1, 0):
        meal(grown, days, "none")
    assert harm(grown).fast.since == ago(2)
    see(grown, 0, "eats_again", now=clock.now() + datetime.timedelta(minutes=1))
    assert appetites([grown.pk], clock.today())[grown.pk].taken_on == ago(0)


def test_a_withdrawn_round_says_nothing(pup):
    meal(pup, 2, "none")
    withdraw(meal(pup, 1, "none"), by=None, now=clock.now(), reason="slip")
    assert harm(pup) is None


def test_a_round_put_right_moves_its_meals(pup):
    written = meal(pup, 1, "none")
    change_feeding(written, {pup.pk: "all"}, now=clock.now(), fed_at=at(3))
    only = Meal.objects.get()
    assert (only.took, only.fed_at) == ("all", at(3))
    assert last_eaten([pup.pk], clock.today())[pup.pk].on == ago(3)


def test_refused_meals_reach_the_day_the_season_and_leaving(program, pup):
    vega = cast.female("Vega", born_on=ago(1500), born_precision="day")
    cast.pair(vega, cast.male("Rigel", born_on=ago(1500), born_precision="day"), 20, sure=cast.SURE)
    for days in (3, 2, 1):
        meal(vega, days, "none")
        meal(pup, days, "none")
    season = season_of(vega, program, asof=clock.today())
    assert season.off_food == (ago(3), ago(2), ago(1))
    assert next(one.kind for one in season.actions) == "separate_now"
    assert any("food taken again" in said for said in unwell_of(pup, asof=clock.today()))
    kinds = {(line.kind.key, line.who) for line in the_day(program, today=clock.today()).lines}
    assert {("off_food", "Alya"), ("off_food", "Vega"), ("separate_now", "Vega")} <= kinds


def test_a_young_one_that_leaves_food_and_eats_between_reaches_the_day(program, pup, as_keeper):
    def said():
        lines = the_day(program, today=clock.today()).lines
        return [one.why for one in lines if one.kind.key == "leaves_food"]

    old = cast.female("Vega", born_on=ago(1500), born_precision="day")
    for one in (pup, old):
        for days, took in ((6, "none"), (5, "all"), (2, "none"), (1, "all")):
            meal(one, days, took)
    assert harm(pup) is None
    assert said() == []  # four days apart: a meal left now and then
    meal(pup, 3, "none")
    meal(pup, 1, "all")
    left = f"{long_day(ago(3))} and {long_day(ago(2))}"
    assert said() == [
        f"It left its food on {left}, within 4 days, though it ate in between. See whether it "
        "gets at its food, test the water and weigh it."
    ]
    assert "Left food on 2 days of 4" in cast.words(as_keeper.get(pup.get_absolute_url()))
    see(pup, 0, "off_food")
    assert harm(pup) is not None
    assert said() == []  # it is off food now, and that is said of it


def test_silence_weighs_only_where_somebody_feeds(program, pup, worms):
    fed, quiet = Tank.objects.create(name="Fed"), Tank.objects.create(name="Quiet")
    mate = cast.ray("Mizar", born_on=ago(60), born_precision="day")
    alone = cast.ray("Alcor", born_on=ago(60), born_precision="day")
    for animal, tank in ((pup, fed), (mate, fed), (alone, quiet)):
        move_animal(animal, tank, on=ago(20), by=None, sure=cast.SURE)
    for days in (5, 3, 2, 1):
        eaters = {mate: "all", pup: "unseen"}
        feed(
            eaters, food=worms, tank=fed, fed_at=at(days), now=clock.now(), by=None, sure=cast.SURE
        )
    [one] = silent(clock.today())
    assert (one.animal, one.has_eaten, one.tank) == (pup.pk, False, "Fed")
    assert [
        one.who
        for one in the_day(program, today=clock.today()).lines
        if one.kind.key == "not_eaten"
    ] == ["Alya"]
    meal(pup, 1, "little")
    assert silent(clock.today()) == []


def test_newborn_on_its_yolk_is_no_alarm(program):
    newborn = cast.ray("Alya", born_on=ago(6), born_precision="day")
    for days in (3, 2, 1):
        meal(newborn, days, "none")
    assert harm(newborn) is None


def test_feeding_by_itself_is_met_lacking_or_not_known(pup, worms):
    def lacks():
        return [said for said in unwell_of(pup, asof=clock.today()) if "feeding by itself" in said]

    assert lacks() == []
    assert feeding_since([pup.pk], clock.today()) == {}
    meal(pup, 20, food=worms)
    assert appetites([pup.pk], clock.today())[pup.pk].ate_first_on == ago(20)
    assert lacks() == []
    meal(pup, 12, "none")
    meal(pup, 11, "none")
    meal(pup, 10, food=worms)
    assert feeding_since([pup.pk], clock.today()) == {pup.pk: ago(10)}
    assert lacks()[0].startswith("feeding by itself for 14 days (since")


def test_a_pup_that_never_took_a_meal_says_so(pup):
    meal(pup, 20, "unseen")
    assert feeding_since([pup.pk], clock.today()) == {}
    meal(pup, 19, "none")
    assert unwell_of(pup, asof=clock.today()) == (
        "feeding by itself for 14 days (no meal is on record)",
    )


def test_what_it_feeds_on_is_of_sixty_days(pup, worms):
    smelt = Food.objects.create(name="Smelt")
    meal(pup, 59, food=smelt)
    for days in (3, 2):
        meal(pup, days, food=worms)
    meal(pup, 1, "none", food=Food.objects.create(name="Pellets"))
    found = feeds_on([pup.pk], clock.today())[pup.pk]
    assert [(one.food, one.times, one.first_on) for one in found] == [
        ("Tank worms", 2, ago(3)),
        ("Smelt", 1, ago(59)),
    ]
