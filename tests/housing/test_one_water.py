"""Every page says the same of a tank's water, whatever the age of its newest test."""

import datetime
import re
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone, translation

from breeding.housing.models import Tank, TankRhythm
from breeding.housing.services import move_animal
from breeding.housing.water.services import record_water_test
from breeding.housing.work.rhythm import choose_rhythms
from breeding.program import clock
from breeding.words.days import short_day
from tests import cast

GOOD = {"temperature_c": "26.5", "ph": "7", "ammonia_mg_l": "0", "nitrite_mg_l": "0"}
FOUL = GOOD | {"nitrite_mg_l": "0.3"}
KINDS = ("breeding", "nursery")
AGES = (0, 3, 4, 7, 8, 20, 89, 91)
EXPECTED = (  # a test may be 7 days old, in a nursery 3; what is foul stands for 90
    {f"breeding good {age:02}": True if age <= 7 else None for age in AGES}
    | {f"nursery good {age:02}": True if age <= 3 else None for age in AGES}
    | {f"{kind} foul {age:02}": False if age <= 90 else None for kind in KINDS for age in AGES}
    | {"untested": None, "own rhythm": True}
)
IN_WORDS = {"fit": True, "not known": None, "not fit": False}


def days_ago(days: int, now: datetime.datetime) -> datetime.datetime:
    """At noon of that day, also where a clock was changed since."""
    noon = datetime.datetime.combine(
        clock.today() - datetime.timedelta(days=days), datetime.time(12)
    )
    return min(now, timezone.make_aware(noon))


@pytest.fixture
def tanks(owner):
    """A tank in use of each kind with a good and with a bad test of each age, and never tested."""
    now, found = clock.now(), {}
    for kind in KINDS:
        for values, said in ((GOOD, "good"), (FOUL, "foul")):
            for age in AGES:
                tank = Tank.objects.create(name=f"{kind} {said} {age:02}", kind=kind)
                record_water_test(
                    tank,
                    tested_at=days_ago(age, now),
                    now=now,
                    by=owner,
                    **{name: Decimal(value) for name, value in values.items()},
                )
                found[tank.name] = tank
    found["untested"] = Tank.objects.create(name="untested")
    own = found["own rhythm"] = Tank.objects.create(name="own rhythm", kind="nursery")
    choose_rhythms(own, {TankRhythm.What.TEST: 30})
    record_water_test(
        own,
        tested_at=days_ago(20, now),
        now=now,
        by=owner,
        **{name: Decimal(value) for name, value in GOOD.items()},
    )
    for tank in found.values():
        ray = cast.ray(f"Ray of {tank.name}", "F")
        move_animal(ray, tank, on=clock.today(), by=owner, sure=cast.SURE)
    return found


def plain(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", page))


def said_in(words: str) -> bool | None:
    """What one sentence on the water says; an error where there is none or more than one."""
    (found,) = re.findall(r"Water (fit|not known|not fit):", words)
    return IN_WORDS[found]


def sections(page: str) -> dict[str, str]:
    """What stands in the section of each tank, by its address."""
    parts = re.findall(r'<section class="tank">(.*?)</section>', page, re.DOTALL)
    return {re.search(r'href="([^"]+)"', one)[1]: plain(one) for one in parts}


def marks(house: str) -> dict[str, bool | None]:
    """What the drop beside each tank on the plan says, by the tank's address."""
    boxes = re.findall(r'<a class="tank-box.*?</a>', house, re.DOTALL)
    drops = {"fit": True, "unknown": None, "now unfit": False}
    return {
        re.search(r'href="([^"]+)"', one)[1]: drops[
            re.search(r'class="mark (fit|unknown|now unfit)"', one)[1]
        ]
        for one in boxes
    }


def listed(page: str) -> dict[str, bool | None]:
    rows = re.findall(r"<tr.*?</tr>", page, re.DOTALL)
    return {
        re.search(r'href="(/tanks/[0-9]+/)"', one)[1]: IN_WORDS[
            re.search(r'<span class="(?:soft|now|soon)" title="[^"]*">(.*?)</span>', one)[1]
        ]
        for one in rows
        if "/tanks/" in one
    }


def test_no_page_says_another_thing_of_a_tanks_water(client, owner, tanks):
    client.force_login(owner)
    asked = ("housing:house", "housing:index", "housing:waters", "housing:tanks")
    house, index, waters, rows = (client.get(reverse(one)).content.decode() for one in asked)
    drops, in_list = marks(house), listed(rows)
    water, company = sections(waters), sections(index)
    assert len(drops) == len(in_list) == len(water) == len(company) == len(tanks)
    for name, tank in tanks.items():
        page = tank.get_absolute_url()
        said = said_in(plain(client.get(page).content.decode()))
        assert said is EXPECTED[name], name
        assert {drops[page], in_list[page], said_in(water[page]), said_in(company[page])} == {said}


def test_every_page_says_the_day_of_the_test(client, owner, tanks):
    client.force_login(owner)
    tank = tanks["breeding good 04"]
    day = clock.today() - datetime.timedelta(days=4)
    with translation.override("en"):
        short = short_day(day, clock.today())
    house = client.get(reverse("housing:house")).content.decode()
    box = house[house.index(f'href="{tank.get_absolute_url()}"') :]
    assert f"water fit, {short}" in plain(box)
    for page in (tank.get_absolute_url(), reverse("housing:waters"), reverse("housing:index")):
        assert "tested 4 days ago" in plain(client.get(page).content.decode())
