"""Who must leave a tank stands on the day until it is answered, whatever way the company began."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.agenda.queries import all_ahead, the_day
from breeding.agenda.services import answer_line
from breeding.health.apart.services import keep_apart
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.litters.services import PupFacts, record_birth
from breeding.program import clock
from breeding.program.queries import the_program
from tests import cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def pool(owner):
    return Tank.objects.create(name="Boathouse pool", can_divide=True)


def put(animal, tank, days_ago=0, **more):
    return move_animal(
        animal, tank, on=cast.ago(days_ago), by=None, sure=cast.SURE, reason="why not", **more
    )


def found_there(animal, tank, days_ago=0):
    """A stay that no door was asked about, as restored or brought back."""
    return Stay.objects.create(animal=animal, tank=tank, since=cast.ago(days_ago))


def lines(today=None, group="company"):
    found = the_day(the_program(), today=today or clock.today()).lines
    return [line for line in found if line.kind.group == group]


@pytest.fixture
def mira(owner):
    return cast.female("Mira", born_on=cast.ago(3000))


@pytest.fixture
def family(mira, pool):
    deneb = cast.male("Deneb")
    altair = cast.male("Altair", dam=mira, sire=deneb, born_on=cast.ago(1500))
    vega = cast.female("Vega", dam=mira, sire=deneb, born_on=cast.ago(1400))
    found_there(mira, pool, 90)
    found_there(vega, pool, 90)
    return altair


def test_kin_in_one_tank_is_one_line_for_the_male_however_they_came_there(family, pool):
    found_there(family, pool, 3)
    (line,) = lines()
    assert (line.who, line.what) == ("Altair", "move out of Boathouse pool: kin that could breed")
    assert line.why == (
        "Altair and his dam Mira could breed: their young would have F 25 %. "
        "Altair and his full sister Vega could breed: their young would have F 25 %."
    )
    assert (line.on, line.urgency) == (cast.ago(3), "now")
    assert [act.words for act in line.acts] == ["Move Altair", "Close the divider"]


def test_the_reason_stands_in_the_line_and_an_answer_keeps_it_away(family, pool):
    put(family, pool, 3)
    (line,) = lines()
    assert line.why.endswith(" The reason on record: why not")
    answer_line(line.key, by=None, today=clock.today())
    assert lines() == []
    found_there(cast.female("Lyra", sire=family, born_on=cast.ago(700)), pool)
    assert [line.who for line in lines()] == ["Altair"]


def test_a_divider_between_them_or_a_pairing_decided_on_is_no_line(family, mira, pool):
    Stay.objects.filter(tank=pool).update(side="left")
    stay = put(family, pool, 3, side="right")
    assert lines() == []
    Stay.objects.filter(tank=pool).update(side="")
    cast.pair(mira, family, 3, reason="only male left")
    (line,) = lines()
    assert "Vega" in line.why
    assert "Mira" not in line.why
    assert stay.tank == pool


def test_siblings_stand_from_two_months_before_the_first_could_breed(mira, pool):
    sire, born = cast.male("Deneb"), clock.today() - datetime.timedelta(days=200)
    for name, sex in (("Lyra", "F"), ("Izar", "M"), ("Nashira", "F")):
        found_there(cast.ray(name, sex, dam=mira, sire=sire, born_on=born), pool, 100)
    can_breed = born + datetime.timedelta(days=365)
    assert lines() == []
    assert lines(can_breed - datetime.timedelta(days=61)) == []
    (line,) = lines(can_breed - datetime.timedelta(days=60))
    assert (line.on, line.urgency) == (can_breed, "soon")
    assert "Izar and his full sister Lyra in Boathouse pool could breed from" in line.why
    assert line.why.endswith("part them by sex before (Izar, Lyra and Nashira).")
    ahead = all_ahead(the_program(), today=clock.today())
    assert [one.on for one in ahead if one.kind.key == "growing_kin"] == [can_breed]
    (grown,) = lines(can_breed)
    assert (grown.kind.key, grown.who) == ("company_kin", "Izar")


def test_after_a_birth_the_receipt_and_the_day_name_the_male_that_must_leave(as_keeper, mira, pool):
    put(mira, pool, 20)
    rigel = cast.male("Rigel", born_on=cast.ago(1500))
    put(rigel, pool, 20)
    sent = {
        "dam": mira.pk,
        "born_on": f"{clock.today()}",
        "pups-TOTAL_FORMS": "1",
        "pups-INITIAL_FORMS": "0",
        "pups-0-fate": "alive",
        "pups-0-sex": "M",
    }
    page = cast.words(as_keeper.post(reverse("litters:new"), sent, follow=True))
    assert "Rigel is in Boathouse pool with 1 newborn pup" in page
    (line,) = lines()
    assert (line.who, line.kind.key, line.urgency) == ("Rigel", "company_pups", "now")
    put(rigel, Tank.objects.create(name="Bay"))
    assert lines() == []


def test_a_male_with_a_resting_dam_and_her_pups_is_asked_to_leave_for_both(mira, pool):
    cast.the_program(rest_days=60)
    put(mira, pool, 20)
    record_birth(dam=mira, born_on=cast.ago(1), pups=[PupFacts()], today=clock.today(), by=None)
    put(cast.male("Rigel", born_on=cast.ago(1500)), pool)
    assert [(line.who, line.kind.key) for line in lines()] == [
        ("Rigel", "company_pups"),
        ("Rigel", "company_rest"),
    ]


def test_a_wound_from_before_this_company_is_a_line_and_one_of_it_is_her_seasons(mira, pool):
    put(mira, pool, 20)
    cast.see(mira, 4, "fresh_bite_marks", severity=3)
    put(cast.male("Rigel", born_on=cast.ago(1500)), pool, 2)
    (line,) = lines()
    assert (line.who, line.kind.key) == ("Rigel", "company_wound")
    cast.see(mira, 1, "fresh_bite_marks", severity=3)
    assert lines() == []
    assert "separate_now" in [line.kind.key for line in lines(group="separation")]


def test_a_newcomer_in_quarantine_and_one_that_left_it_early_are_lines_until_its_days_are_over(
    mira, pool
):
    ward = Tank.objects.create(name="Ward", kind=Tank.Kind.QUARANTINE)
    rigel = cast.male("Rigel")
    put(rigel, ward, 12)
    assert lines() == []
    put(cast.female("Nashira"), ward, 5)
    (line,) = lines()
    assert (line.who, line.kind.key) == ("Nashira", "company_quarantine")
    put(mira, pool, 90)
    put(rigel, pool, 2)
    (line,) = lines()
    assert (line.who, line.on) == ("Rigel", cast.ago(2))
    assert len(lines(clock.today() + datetime.timedelta(days=24))) == 1  # 30 from when she came
    assert lines(clock.today() + datetime.timedelta(days=25)) == []


def test_one_put_in_quarantine_where_it_is_is_a_line_since_that_day_not_since_it_came(mira, pool):
    put(mira, pool, 90)
    put(cast.female("Vega"), pool, 80)
    keep_apart([mira], since=cast.ago(3), today=clock.today(), by=None)
    (line,) = lines()
    assert (line.who, line.kind.key, line.on) == ("Mira", "company_quarantine", cast.ago(3))


def test_one_on_loan_is_with_nobody_as_far_as_is_known(family, pool):
    found_there(family, pool, 3)
    family.state, family.state_on = "on_loan", cast.ago(1)
    family.save()
    assert lines() == []


def test_more_tanks_with_kin_cost_no_more_queries(family, pool):
    found_there(family, pool, 3)
    with CaptureQueriesContext(connection) as one_tank:
        the_day(the_program(), today=clock.today())
    for number in range(6):
        tank = Tank.objects.create(name=f"Bay {number}")
        dam = cast.female(f"Dam {number}", born_on=cast.ago(3000))
        for ray in (dam, cast.male(f"Son {number}", dam=dam, born_on=cast.ago(900))):
            found_there(ray, tank, 3)
    with CaptureQueriesContext(connection) as more_tanks:
        assert len(the_day(the_program(), today=clock.today()).lines) >= 7
    assert len(more_tanks) <= len(one_tank)
