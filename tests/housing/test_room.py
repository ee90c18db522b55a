"""Whether tanks give those in them room, now and as they grow; said in advance, and asked."""

import datetime
import math

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.growth.ahead import widths_ahead
from breeding.animals.models import Measurement, ProfileFigure
from breeding.animals.revisions import figures_changed
from breeding.housing.models import Tank
from breeding.housing.queries import present_stays
from breeding.housing.room.reading import room_of, rooms_of
from breeding.housing.room.said import answer_of, said_of
from breeding.housing.services import move_animal
from breeding.program import clock
from breeding.program.problems.doubts import DoubtError
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
INDEX = reverse("housing:index")


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


def tank(length_mm=2400, width_mm=1200, name="Boathouse pool"):
    return Tank.objects.create(name=name, length_mm=length_mm, width_mm=width_mm)


def measure(animal, width_mm, days_ago=10):
    Measurement.objects.create(animal=animal, on=cast.ago(days_ago), disc_width_mm=width_mm)
    return animal


def grown(name, width_mm, **facts):
    """Measured, and of a birthday that nobody knows: it is taken to stay as it is."""
    return measure(cast.female(name, **facts), width_mm)


def young(name="Izar", rate=0.9, born_days_ago=240, every=30, pure="motoro", sex="F"):
    """Measured month by month on a curve from 120 to 600 mm."""
    born = cast.ago(born_days_ago)
    animal = cast.ray(name, sex, born_on=born, pure=pure)
    for days in range(0, born_days_ago + 1, every):
        width = 600 - 480 * math.exp(-rate * days / 365.25)
        on = born + datetime.timedelta(days=days)
        Measurement.objects.create(animal=animal, on=on, disc_width_mm=round(width))
    return animal


def room(of, *animals):
    return room_of(of, animals, asof=clock.today())


def answer(of, *animals):
    return answer_of(room(of, *animals), unit="cm")


def put(animal, into, **more):
    return move_animal(animal, into, on=clock.today(), by=None, sure=cast.SURE, **more)


# ------------------------------------------------------------------------------- as measured


def test_too_small_is_said_with_what_is_wanted_and_what_is_there():
    """8 x 0.25 + 4 x 0.25 + 4 x 0.16 = 3.64 m2, on 2.4 x 1.2 = 2.88 m2."""
    three = [grown("Mira", 500), grown("Vega", 500), grown("Spica", 400)]
    said = "Too small for these 3: they want 3.64 m² of floor and it has 2.88 m²."
    assert answer(tank(), *three) == said


def test_the_sides_are_said_apart_from_the_floor():
    said = answer(tank(3000, 900), grown("Mira", 500))
    assert said == ("Too small for Mira: the largest wants 100 cm front to back and it has 90 cm.")


def test_who_was_measured_and_of_whom_nobody_knows_how_it_grows_has_room_as_measured():
    found = room(tank(), grown("Mira", 500))
    assert answer_of(found, unit="cm") == "Room for Mira as they were measured."
    assert "Mira: taken to stay as measured" in " ".join(said_of(found, unit="cm").ground)


def test_a_tank_that_nobody_measured_only_says_so():
    found = room(tank(None, 900), grown("Mira", 900))
    assert answer_of(found, unit="cm") == (
        "How much room it gives is not known: its floor has not been measured."
    )
    assert not found.is_too_small


def test_a_width_that_nobody_knows_is_said_and_not_guessed():
    """Vega has no birthday either; Mira alone has room."""
    found = room(tank(), grown("Mira", 400), cast.female("Vega"))
    assert found.unknown[0].name == "Vega"
    assert said_of(found, unit="cm").further == (
        "Not counted, for nobody knows how wide: Vega. They want room too.",
    )
    alone = room(tank(name="Small one"), cast.female("Atria"))
    assert answer_of(alone, unit="cm") == (
        "Whether it gives room is not known: nobody has measured Atria."
    )


def test_an_empty_tank_says_nothing():
    assert said_of(room(tank()), unit="cm") is None


def test_of_a_kind_without_a_rule_nothing_is_said():
    ProfileFigure.objects.filter(profile__key="motoro", name="space_floor_first").update(value=0)
    figures_changed()
    assert said_of(room(tank(600, 300), grown("Mira", 500, pure="motoro")), unit="cm") is None


def test_a_rule_that_is_changed_on_screen_is_the_rule(as_owner):
    """Half the floor for the first: 4 x 0.36 = 1.44 m2 instead of 2.88."""
    mira = grown("Mira", 600, pure="motoro")
    small = tank(2400, 1200, "Small one")
    small.length_mm = 2390
    assert "length" in answer(small, mira)
    named = ["space_floor_first", "space_length_widths", "space_floor_further"]
    profile = cast.species("motoro").profile
    for name, value in zip(named, (4, 3, 2), strict=True):
        ProfileFigure.objects.filter(profile=profile, name=name).update(value=value)
    figures_changed()
    assert answer(small, mira).startswith("Room for Mira")
    page = words(as_owner.get(reverse("animals:figures", args=[profile.pk])))
    assert "Floor for the largest; 0: nothing is said" in page


# ---------------------------------------------------------------------------- as they grow


def test_when_it_becomes_too_small_is_said_before_with_a_span():
    """On the curve 600 - 480 exp(-0.9 t) it is 375 mm after 0.84 years, so in about 67 days."""
    pool = tank(1500, 1000)
    found = room(pool, young())
    days = (found.middle - clock.today()).days
    assert 40 < days < 100
    assert clock.today() < found.early < found.middle < found.late
    said = answer_of(found, unit="cm")
    assert said.startswith("Room for Izar until about ")
    assert " (between " in said
    assert "Izar: on its own curve of growth." in said_of(found, unit="cm").ground


def test_spans_hold_for_nine_in_ten_of_simulated_tanks():
    """Sixteen young with curves of their own: the true day lies inside the span of most."""
    held = 0
    rates = [0.6 + 0.03 * n for n in range(16)]
    litter = [young(f"Star {n}", rate=rate) for n, rate in enumerate(rates)]
    pool = tank(1500, 1000)
    for rate, one in zip(rates, litter, strict=True):
        true_years = -math.log((600 - 375) / 480) / rate
        true_on = one.born_on + datetime.timedelta(days=true_years * 365.25)
        found = room(pool, one)
        held += found.early <= true_on <= (found.late or datetime.date.max)
    assert held >= 13


def test_one_that_was_never_measured_leans_on_the_others_by_its_age():
    for n in range(3):
        young(f"Star {n}")
    mate = cast.ray("Atria", "F", born_on=cast.ago(240), pure="motoro")
    ahead = widths_ahead([mate])[mate.pk]
    assert ahead.ground == "others"
    band = ahead.on([clock.today()])
    assert band.low[0] < 600 - 480 * 0.5535 < band.high[0]  # exp(-0.9 x 240 / 365.25)
    found = room(tank(), mate)
    assert "Never measured, so judged by age alone: Atria." in said_of(found, unit="cm").ground


def test_nobody_grows_narrower_than_it_was_measured():
    one = young()
    Measurement.objects.create(animal=one, on=clock.today(), disc_width_mm=420)
    band = widths_ahead([one])[one.pk].on([clock.today(), clock.today()])
    assert band.low[0] >= 420


def test_a_screen_never_says_room_where_curves_say_too_small():
    """The list fits no curve where there is room to spare; what it leaves out has room indeed."""
    company = {}
    for n in range(6):
        company[tank(1000 + 200 * n, 700 + 100 * n, f"Pool {n}")] = [young(f"Star {n}")]
    quick = rooms_of(company, asof=clock.today(), days=365)
    thorough = rooms_of(company, asof=clock.today(), days=365, is_thorough=True)
    for of in company:
        assert quick[of.pk].middle == thorough[of.pk].middle
        assert quick[of.pk].is_too_small == thorough[of.pk].is_too_small


# ----------------------------------------------------------------------------- where it is read


def test_the_tanks_page_draws_the_floor_and_says_the_rule(as_viewer):
    pool = tank()
    for one in (grown("Mira", 500), grown("Vega", 400)):
        put(one, pool)
    page = words(as_viewer.get(pool.get_absolute_url()))
    assert "Room for these 2 as they were measured." in page
    assert "240.0 cm by 120.0 cm, with the animals in it, to scale" in page
    assert "front to back 2 times the width of the largest, Mira (50.0 cm)" in page
    assert "4.00 m² of floor is what Austria asks for two rays, by zootier-lexikon" in page


def test_the_list_of_tanks_says_it_too(as_viewer):
    pool = tank(1500, 900)
    put(grown("Mira", 500), pool)
    assert "Too small for Mira: they want 2.00 m² of floor and it has 1.35 m²" in words(
        as_viewer.get(INDEX)
    )


def test_where_to_says_which_tanks_are_too_small(as_keeper):
    tank(1500, 900, "Small one")
    mira = grown("Mira", 500)
    page = words(as_keeper.get(reverse("housing:move", args=[mira.pk])))
    assert '<span class="soon">too small</span>' in page


def test_a_move_into_a_tank_that_is_too_small_is_asked_once(as_keeper):
    small, mira = tank(1500, 900, "Small one"), grown("Mira", 500)
    url = reverse("housing:move", args=[mira.pk])
    sent = {"tank": f"{small.pk}", "on": "2026-11-25"}
    page = words(as_keeper.post(url, sent))
    assert "With Mira in it, Small one is too small: they want 2.00 m² of floor" in page
    assert not present_stays().exists()
    with pytest.raises(DoubtError) as asked:
        move_animal(mira, small, on=clock.today(), by=None)
    as_keeper.post(url, sent | {"sure": asked.value.doubts[0].mark})
    assert present_stays().get().tank == small


def test_the_other_side_of_a_divider_and_a_tank_with_room_are_not_asked_of():
    small, mira = tank(1500, 900, "Small one"), grown("Mira", 500)
    put(mira, small)
    small.can_divide = True
    small.save()
    move_animal(mira, small, on=clock.today(), by=None, side="left")
    move_animal(mira, tank(2400, 1200, "Large one"), on=clock.today(), by=None)
    assert present_stays().get().tank.name == "Large one"


def test_a_page_of_tanks_asks_as_often_with_ten_more_that_are_measured(as_keeper):
    put(young("Izar"), tank(1500, 1000))
    as_keeper.get(INDEX)
    with CaptureQueriesContext(connection) as few:
        as_keeper.get(INDEX)
    for n in range(10):
        put(young(f"Star {n}", every=80), tank(1500, 1000, f"Pool {n}"))
    as_keeper.get(INDEX)
    with CaptureQueriesContext(connection) as many:
        as_keeper.get(INDEX)
    assert len(many) == len(few) < 20
