"""Many animals put into tanks on one page, and the line of the day that leads there."""

import re

import pytest
from django.urls import reverse

from breeding.agenda.queries import the_day
from breeding.housing.models import Stay, Tank
from breeding.program import clock
from breeding.program.models import Act
from breeding.program.queries import the_program
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
PLACE = reverse("records:place")


@pytest.fixture
def five(owner):
    Tank.objects.create(name="B1")
    rays = [cast.female(f"Ray {n}") for n in range(4)]
    return [*rays, cast.male("Deneb", note="bought; Tank: b1")]


def lines():
    return [one.what for one in the_day(the_program(), today=clock.today()).lines]


def test_the_day_says_how_many_are_in_no_tank_and_leads_to_the_page(five, as_keeper):
    assert lines() == ["are in no tank: place them"]
    page = as_keeper.get(reverse("agenda:day"))
    assert "5 animals" in words(page)
    assert f'href="{PLACE}"' in page.content.decode()


def test_four_are_placed_one_by_one_and_make_no_line(owner):
    for n in range(4):
        cast.female(f"Ray {n}")
    assert lines() == []


def test_the_tank_that_a_table_named_is_chosen_already(five, as_keeper):
    form = as_keeper.get(PLACE).context["form"]
    chosen = [field.value() for _, field in form.rows()]
    assert [bool(one) for one in chosen] == [False] * 4 + [True]


def test_all_are_placed_with_one_act_that_is_undone_as_one(five, as_keeper):
    key = as_keeper.get(PLACE).context["form"].places.keys()
    sent = {f"place_{one.pk}": next(iter(key)) for one in five[:4]} | {"on": f"{clock.today()}"}
    as_keeper.post(PLACE, sent)
    assert Stay.objects.count() == 4
    act = Act.objects.latest("pk")
    as_keeper.post(reverse("program:undo", args=[act.pk]))
    assert Stay.objects.count() == 0


def test_all_for_whom_nothing_is_chosen_go_to_one_tank(five, as_keeper):
    key = next(iter(as_keeper.get(PLACE).context["form"].places))
    as_keeper.post(PLACE, {"rest": key, "on": f"{clock.today()}"})
    assert Stay.objects.count() == 5


def test_kin_that_would_meet_are_asked_about_before_anybody_is_placed(as_keeper, owner):
    Tank.objects.create(name="B1")
    sire, dam = cast.male("Rigel"), cast.female("Wega")
    young = [cast.ray(n, s, sire=sire, dam=dam) for n, s in (("Pip", "F"), ("Pop", "M"))]
    key = next(iter(as_keeper.get(PLACE).context["form"].places))
    sent = {f"place_{one.pk}": key for one in young} | {"on": f"{clock.today()}"}
    page = as_keeper.post(PLACE, sent)
    assert "Pip" in words(page)
    assert 'name="sure"' in page.content.decode()
    assert not Stay.objects.exists()


def test_nothing_chosen_is_said(five, as_keeper):
    page = as_keeper.post(PLACE, {"on": f"{clock.today()}"})
    assert "Choose a tank for at least one of them." in words(page)


def test_a_whole_family_is_asked_about_once_with_one_reason_and_a_long_list_folded(
    owner, as_keeper
):
    Tank.objects.create(name="B1")
    parents = {
        "dam": cast.female("Mira", born_on=cast.ago(3000)),
        "sire": cast.male("Deneb", born_on=cast.ago(3000)),
        "born_on": cast.ago(1500),
        "born_precision": "day",
    }
    for n in range(3):
        cast.male(f"Son {n}", **parents)
        cast.female(f"Girl {n}", **parents)
    sent = {
        "rest": next(iter(as_keeper.get(PLACE).context["form"].places)),
        "on": f"{clock.today()}",
    }
    asked = as_keeper.post(PLACE, sent).content.decode()
    assert asked.count('id="doubts"') == 1
    assert asked.count("could breed: their young would have F 25 %") == 15
    assert "3 more to look at" in asked
    mark = re.search(r'name="sure" value="([^"]+)"', asked)[1]
    assert "Write a reason" in words(as_keeper.post(PLACE, sent | {"sure": mark}))
    assert Stay.objects.count() == 0
    as_keeper.post(PLACE, sent | {"sure": mark, "sure_reason": "the only tank"})
    assert Stay.objects.count() == 8
    assert {one.reason for one in Stay.objects.all()} == {"", "the only tank"}
