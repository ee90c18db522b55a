"""From the front page to saved on a phone: how many taps, for whomever and whatever it is."""

import re

import pytest

from breeding.animals.models import Animal
from breeding.feeding.models import Feeding
from breeding.housing.models import Stay, Tank, WaterChange
from breeding.litters.models import Litter
from tests.browser.thumb import Thumb

pytestmark = pytest.mark.django_db(transaction=True)

HERE = ("here", "on_loan")
LONGEST_DAY = 2000
# What it took once, with a front page of 5,665 pixels: 3 taps for the four females that stood on
# it, 5 and two screens of scrolling for any other animal.
MOST_TAPS = {
    "an expected female": 3,
    "any other female": 3,
    "a male": 3,
    "all in a tank": 3,
    "a tank's meal": 3,
    "a litter's meal": 3,
    "a weight": 3,
    "a water change": 3,
    "a note": 3,
}


def _pick(page, animal):
    return page.locator(f".strip a[href$='female={animal.pk}']")


def _pick_tank(page, tank):
    return page.locator(f".strip a[href$='female=tank-{tank.pk}']")


def _sign(page):
    return page.locator("label.tile", has_text=re.compile(r"^\s*Off food\s*$"))


def _tab(page, name):
    return page.locator(".logging").get_by_role("link", name=name, exact=True)


def _save(thumb, says=""):
    thumb.tap(thumb.page.get_by_role("button", name=f"Save: {says}" if says else "Save"))
    thumb.page.wait_for_url(lambda url: "/log/" not in url)
    thumb.page.locator(".receipt").wait_for()


def _seen_of(page, thumb, animal):
    thumb.tap(_pick(page, animal))
    thumb.tap(_sign(page))
    _save(thumb, f"{animal.name}, Off food")


def _expected_female(page, thumb):
    first = page.locator(".strip a:not(.tank)").first.get_attribute("href")
    female = Animal.objects.get(pk=first.rpartition("=")[2])
    assert female.sex == "F"
    _seen_of(page, thumb, female)


def _other_female(page, thumb):
    _seen_of(page, thumb, Animal.objects.filter(sex="F", state="here").order_by("-call_name")[0])


def _male(page, thumb):
    _seen_of(page, thumb, Animal.objects.filter(sex="M", state="here").order_by("-call_name")[0])


def _lived_in():
    return Tank.objects.filter(
        stays__in=Stay.objects.filter(until__isnull=True, withdrawn_at__isnull=True)
    ).distinct()


def _all_in_a_tank(page, thumb):
    tank = _lived_in().order_by("-name")[0]
    thumb.tap(_pick_tank(page, tank))
    thumb.tap(_sign(page))
    _save(thumb, f"all in {tank.name}, Off food")


def _meal_of(page, thumb, tank):
    meals = Feeding.objects.filter(tank=tank).count()
    thumb.tap(_pick_tank(page, tank))
    thumb.tap(_tab(page, "Fed"))
    _save(thumb, f"all in {tank.name}")
    assert Feeding.objects.filter(tank=tank).count() == meals + 1


def _tank_meal(page, thumb):
    given = Feeding.objects.filter(tank__isnull=False, withdrawn_at__isnull=True)
    _meal_of(page, thumb, given.filter(tank__in=_lived_in()).latest("fed_at").tank)


def _litter_meal(page, thumb):
    """The young of a litter are in one tank; it is theirs."""
    given = Feeding.objects.filter(tank__isnull=False, withdrawn_at__isnull=True)
    young = Animal.objects.filter(state="here", pup_rows__litter__in=Litter.objects.all())
    stays = Stay.objects.filter(animal__in=young, until__isnull=True, withdrawn_at__isnull=True)
    nurseries = Tank.objects.filter(kind=Tank.Kind.NURSERY, pk__in=given.values("tank"))
    tanks = nurseries.filter(stays__in=stays)
    _meal_of(page, thumb, tanks.order_by("name")[0])


def _weight(page, thumb):
    animal = Animal.objects.filter(state="here").order_by("call_name")[0]
    thumb.tap(_pick(page, animal))
    before = animal.measurements.count()
    thumb.tap(_tab(page, "Weighed"))
    page.locator("[name=weight_g]").wait_for()
    last = animal.measurements.exclude(weight_g=None).order_by("-on", "-pk")[0]
    thumb.write(page.locator("[name=weight_g]"), str(last.weight_g + 1))
    _save(thumb)
    assert animal.measurements.count() == before + 1


def _water(page, thumb):
    """As much as last time is ticked, and the button says it."""
    last = WaterChange.objects.filter(tank__in=_lived_in(), percent__isnull=False)[0]
    before = last.tank.water_changes.count()
    thumb.tap(_pick_tank(page, last.tank))
    thumb.tap(_tab(page, "Water"))
    _save(thumb, f"{last.tank.name}, changed {last.percent} %")
    changes = last.tank.water_changes
    assert (changes.count(), changes.first().percent) == (before + 1, last.percent)


def _note(page, thumb):
    animal = Animal.objects.filter(state="here").order_by("call_name")[0]
    thumb.tap(_pick(page, animal))
    thumb.tap(_tab(page, "Note"))
    page.locator("[name=note]").wait_for()
    thumb.write(page.locator("[name=note]"), "takes from the hand")
    _save(thumb)


WAYS = {
    "an expected female": _expected_female,
    "any other female": _other_female,
    "a male": _male,
    "all in a tank": _all_in_a_tank,
    "a tank's meal": _tank_meal,
    "a litter's meal": _litter_meal,
    "a weight": _weight,
    "a water change": _water,
    "a note": _note,
}


@pytest.mark.parametrize("size", ["phone"])
def test_from_the_front_page_to_saved(jo, size):
    """One walk, so that the demo is loaded once."""
    jo.goto("/")
    length = jo.evaluate("document.documentElement.scrollHeight")
    print(f"\nfront page: {length} px")
    assert length < LONGEST_DAY
    here = Animal.objects.filter(state__in=HERE).count()
    assert jo.locator(".strip a:not(.tank)").count() == here
    assert jo.locator(".strip a.tank").count() == _lived_in().count()
    taken = {}
    for name, way in WAYS.items():
        jo.goto("/")
        thumb = Thumb(jo)
        way(jo, thumb)
        print(f"{name}: {thumb}")
        taken[name] = thumb.taps
    assert {name: taps for name, taps in taken.items() if taps > MOST_TAPS[name]} == {}
