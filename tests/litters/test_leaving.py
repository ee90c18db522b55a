"""Fit to leave: condition, weight, marks, food, quarantine and water, at every door."""

import datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.agenda.queries import the_day
from breeding.animals.services import add_measurement
from breeding.buyers.cautions import cautions_before
from breeding.buyers.models import Contact
from breeding.buyers.openings import openings
from breeding.buyers.waiting import add_wish
from breeding.housing.models import Tank, WaterTest
from breeding.housing.services import move_animal
from breeding.litters.queries import pups_of
from breeding.litters.raising.leaving import not_known, unwell_of
from breeding.offers.models import SalesPage
from breeding.offers.sales import free_pups
from breeding.program import clock
from tests import cast
from tests.buyers.litters import litter_of, pup
from tests.cast import ago, words

pytestmark = pytest.mark.django_db
THIN = "condition 3 or better (1 of 5 on {on})"
LOST = "its weight back (33.3 % lost since {on})"


@pytest.fixture
def litter(owner):
    """Alya and Botein, old and large enough."""
    return litter_of(cast.female("Vega"), widths=(160, 150), sexes="FM", today=clock.today())


@pytest.fixture
def alya(litter):
    return litter.pups.get(number=1).animal


def on(days):
    day = ago(days)
    return f"{day.day} {day:%B} {day.year}"


def starved(animal):
    add_measurement(animal, by=None, on=ago(20), weight_g=300, condition=3)
    add_measurement(animal, by=None, on=ago(2), weight_g=200, condition=1)


def in_tank(animal, **facts):
    tank = Tank.objects.create(name="North", **facts)
    move_animal(animal, tank, on=ago(5), by=None)
    return tank


def reading_of_water(tank, ammonia, days=0):
    WaterTest.objects.create(
        tank=tank,
        tested_at=clock.now() - datetime.timedelta(days=days),
        temperature_c=Decimal("27"),
        ph=Decimal("7"),
        ammonia_mg_l=Decimal(ammonia),
        nitrite_mg_l=Decimal("0"),
    )


def read(litter, animal):
    rows = pups_of([litter], asof=clock.today())[litter.pk]
    return next(one for one in rows if one.pup.animal_id == animal.pk)


def test_a_well_pup_lacks_nothing(litter, alya):
    one = read(litter, alya)
    assert (one.lacks, one.unwell, one.standing) == ((), (), "old and large enough to leave")


def test_a_thin_pup_that_lost_a_third_lacks_condition_and_weight(litter, alya):
    starved(alya)
    one = read(litter, alya)
    assert one.unwell == (THIN.format(on=on(2)), LOST.format(on=on(20)))
    assert (one.is_ready, one.is_better, one.standing) == (False, False, "not fit to leave")
    add_measurement(alya, by=None, on=ago(0), weight_g=310, condition=3)
    assert read(litter, alya).is_ready


@pytest.mark.parametrize(
    ("severity", "lacks"),
    [(None, "healed marks (nobody said how bad"), (1, ""), (3, "healed marks (severity 3, open")],
)
def test_marks_keep_a_pup_until_they_are_seen_healed(litter, alya, severity, lacks):
    cast.see(alya, 9, "fresh_bite_marks", severity=severity)
    said = " ".join(read(litter, alya).unwell)
    assert said.startswith(lacks) if lacks else said == ""
    cast.see(alya, 1, "healing_marks", severity=0)
    assert read(litter, alya).is_ready


def test_refused_food_keeps_a_pup_until_it_eats_again(litter, alya):
    cast.see(alya, 9, "off_food")
    assert read(litter, alya).unwell == (f"food taken again (refused since {on(9)})",)
    cast.see(alya, 1, "eats_again")
    assert read(litter, alya).is_ready


def test_a_pup_in_quarantine_stays(litter, alya):
    in_tank(alya, kind="quarantine")
    left = f"{ago(-25).day} {ago(-25):%B} {ago(-25).year}"
    assert read(litter, alya).unwell == (
        f"the end of its hold (it is in quarantine, 30 days from {on(5)}, and is held until "
        f"{left})",
    )


def test_water_that_is_not_fit_keeps_a_pup_and_unknown_water_does_not(litter, alya):
    tank = in_tank(alya, kind="growing")
    assert read(litter, alya).is_ready
    reading_of_water(tank, "1")
    (said,) = read(litter, alya).unwell
    assert said.startswith("fit water (in North: ammonia 1 mg/L")
    WaterTest.objects.all().delete()
    reading_of_water(tank, "0")
    assert read(litter, alya).is_ready


def test_it_is_offered_at_no_door_and_each_says_why(as_keeper, litter, alya):
    starved(alya)
    program, today = cast.the_program(), clock.today()
    because = THIN.format(on=on(2))
    (line,) = (one for one in the_day(program, today=today).lines if "leave" in one.kind.key)
    assert line.why.startswith("1 of 2 pups is old and large enough to leave: Botein.")
    assert because in words(as_keeper.get(litter.get_absolute_url()))
    page = SalesPage.objects.create(litter=litter)
    page.pups.set(litter.pups.all())
    assert [one.pup.animal.name for one in free_pups(page, asof=today)] == ["Botein"]
    said = words(as_keeper.get(reverse("offers:sales", args=[litter.pk])))
    assert f"Alya is not shown; it lacks {because} and its weight back" in said
    (caution,) = cautions_before(alya, program, on=today)
    assert caution.words.startswith(f"Alya is not fit to leave: it lacks {because}")
    page = words(as_keeper.get(reverse("buyers:hand_over", args=[alya.pk])))
    assert "Alya is not fit to leave" in page
    wish = add_wish(Contact.objects.create(name="Kim"), by=None, wished_on=ago(5), sex="F")
    assert openings(program, asof=today) == []
    assert because in words(as_keeper.get(wish.contact.get_absolute_url()))


def test_an_adult_that_is_not_well_is_not_handed_over_unread(owner):
    mira = cast.female("Mira", born_on=ago(1500))
    cast.see(mira, 5, "fresh_bite_marks", severity=4)
    (caution,) = cautions_before(mira, cast.the_program(), on=clock.today())
    assert "Mira is not fit to leave: it lacks healed marks (severity 4, deep" in caution.words


def test_the_questions_do_not_grow_with_the_litters(litter):
    def questions(litters):
        pups_of(litters, asof=clock.today())
        with CaptureQueriesContext(connection) as asked:
            pups_of(litters, asof=clock.today())
        return len(asked)

    few = questions([litter])
    more = [
        litter_of(cast.female(f"Dam {one}"), today=clock.today() - datetime.timedelta(days=1))
        for one in range(3)
    ]
    assert questions([litter, *more]) == few


def test_without_a_meal_on_record_it_is_not_known_whether_it_feeds(as_keeper):
    """It stands in no one's way on the pages of the litter, and is asked when it leaves."""
    today = clock.today()
    dam, sire = cast.female("Vega", pure="leopoldi"), cast.male("Deneb", pure="leopoldi")
    litter = litter_of(dam, sire, today=today, fed=False)
    alya = pup(litter, "Alya")
    assert not_known([alya.pk, litter.dam_id], today) == {
        alya.pk: ("whether it feeds by itself for 14 days (no meal is on record)",)
    }
    assert unwell_of(alya, asof=today) == ()
    page = words(as_keeper.get(reverse("planning:litter", args=[litter.pk])))
    assert "not known: whether it feeds by itself for 14 days" in page
    said = [one.words for one in cautions_before(alya, cast.the_program(), on=today)]
    assert said == [
        "It is not known of Alya whether it feeds by itself for 14 days (no meal is on record)."
    ]
