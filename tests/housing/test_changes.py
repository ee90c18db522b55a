"""Water changes, source waters, care and rhythms: written down on a phone, shared, asked about."""

import datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.housing.models import (
    Tank,
    TankRhythm,
    TankWork,
    WaterChange,
    WaterSource,
    WaterSystem,
)
from breeding.housing.water.services import record_water_test
from breeding.housing.work.care import record_work
from breeding.housing.work.changes import record_changes, shared_out
from breeding.housing.work.queries import amount_words
from breeding.housing.work.sources import add_source
from breeding.program import clock
from breeding.program.problems.doubts import DoubtError
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db


@pytest.fixture
def pool(owner):
    return Tank.objects.create(name="Pool", volume_litres=800)


def page(tank):
    return reverse("housing:change", args=[tank.pk])


def source(name="Rain", **facts):
    facts = {"comes_from": "rain"} | facts
    return add_source(by=None, today=clock.today(), name=name, **facts)


def change(*tanks, days=0, **facts):
    at = clock.now() - datetime.timedelta(days=days)
    more = {"now": clock.now(), "by": None, "program": cast.the_program()}
    return record_changes(list(tanks), changed_at=at, **more, **facts)


def test_a_tap_on_the_tanks_page_writes_a_change_now(as_keeper, pool):
    shown = words(as_keeper.get(pool.get_absolute_url()))
    assert f'action="{page(pool)}"' in shown
    answer = as_keeper.post(page(pool), {"how_much": "30"}, follow=True)
    assert "Water changed in Pool: 30 % (about 240 litres)." in words(answer)
    (made,) = WaterChange.objects.all()
    assert (made.percent, made.litres, made.source) == (30, None, None)


def test_litres_are_said_as_a_share_where_the_volume_is_known(pool):
    assert amount_words(change(pool, litres=200).changes[0], cast.the_program()) == (
        "200 litres (25 %)"
    )
    gallons = cast.the_program(volume_unit="gal")
    assert amount_words(WaterChange(tank=pool, litres=200), gallons) == "53 US gallons (25 %)"
    assert amount_words(WaterChange(tank=Tank(name="Bay"), percent=20), gallons) == "20 %"


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"note": "x"}, "Say how much"),
        ({"how_much": "30", "litres": "100"}, "Say how much in one way"),
        ({"percent": "101"}, "100"),
        ({"litres": "0"}, "litres"),
        ({"percent": "10", "changed_at": "2999-01-01T10:00"}, "is still to come"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field_and_nothing_is_written(
    as_keeper, pool, sent, said
):
    answer = as_keeper.post(page(pool), sent)
    assert answer.status_code == 200
    assert said in words(answer)
    assert not WaterChange.every.exists()


def test_more_litres_than_the_tank_holds_are_asked_about(pool):
    with pytest.raises(DoubtError, match="900 litres are more than Pool holds"):
        change(pool, litres=900)


def test_tanks_of_one_water_are_changed_together_and_litres_shared_by_volume(as_keeper, owner):
    sump = WaterSystem.objects.create(name="Sump")
    north, south = (
        Tank.objects.create(name=name, system=sump, volume_litres=litres)
        for name, litres in (("North", 300), ("South", 600))
    )
    Tank.objects.create(name="Elsewhere")
    assert "Elsewhere" not in words(as_keeper.get(page(north)))
    as_keeper.post(page(north), {"litres": "100", "tanks": [north.pk, south.pk]})
    assert {one.tank: one.litres for one in WaterChange.objects.all()} == {north: 33, south: 67}
    with pytest.raises(ValidationError, match="that of Bay is not on record"):
        shared_out([north, Tank(name="Bay")], 100)


def test_raw_tap_water_is_asked_about_every_time(as_keeper, pool):
    mains = source("Mains", comes_from="tap")
    sent = {"how_much": "30", "source": mains.pk}
    answer = as_keeper.post(page(pool), sent)
    assert "nothing on record says that chlorine is taken out" in words(answer)
    assert not WaterChange.objects.exists()
    mains.is_dechlorinated = True
    mains.save()
    as_keeper.post(page(pool), sent)
    assert WaterChange.objects.count() == 1


def test_a_far_ph_is_asked_once_and_then_only_said(pool):
    record_water_test(pool, tested_at=clock.now(), now=clock.now(), by=None, ph=Decimal("6.5"))
    hard = source("Well", comes_from="well", ph=Decimal("7.5"))
    with pytest.raises(DoubtError, match=r"Well has pH 7\.5, the tank had 6\.5"):
        change(pool, percent=30, source=hard)
    first = change(pool, percent=30, source=hard, sure=cast.SURE)
    assert first.said == ()
    (again,) = change(pool, percent=20, source=hard).said
    assert again.startswith("Well has pH 7.5")
    with pytest.raises(DoubtError):
        change(pool, percent=50, source=hard)  # more than it is used to


def test_what_was_poured_long_ago_is_asked_about_no_more(pool):
    assert change(pool, days=9, percent=30, source=source("Mains", comes_from="tap")).changes


def test_the_last_change_is_made_again_with_one_tap(as_keeper, pool):
    rain = source()
    change(pool, days=14, litres=200, source=rain)
    again = reverse("housing:again", args=[pool.pk])
    answer = as_keeper.post(again, {"back": "day"})
    assert answer.url == reverse("agenda:day")
    newest = WaterChange.objects.first()
    assert (newest.litres, newest.source, newest.changed_at.date()) == (200, rain, clock.today())


def test_without_a_last_change_again_leads_to_the_form(as_keeper, pool):
    assert as_keeper.post(reverse("housing:again", args=[pool.pk])).url == page(pool)
    assert not WaterChange.objects.exists()


def test_care_is_one_tap_and_an_unknown_kind_is_nothing(as_keeper, pool):
    as_keeper.post(reverse("housing:tap_work", args=["filter", pool.pk]))
    assert [(one.kind, one.on) for one in TankWork.objects.all()] == [("filter", clock.today())]
    for kind in ("other", "nonsense"):
        answer = as_keeper.post(reverse("housing:tap_work", args=[kind, pool.pk]))
        assert answer.status_code == 404


def test_something_else_says_what(pool):
    on = clock.today()
    with pytest.raises(ValidationError, match="Say in a few words what was done"):
        record_work(pool, kind="other", on=on, today=on, by=None)


def test_source_waters_stand_on_their_page_with_their_figures(as_keeper, owner):
    new = reverse("housing:new_source")
    sent = {"name": "Half rain", "comes_from": "mixed", "ph": "6,8", "conductivity_us_cm": "180"}
    answer = as_keeper.post(new, sent | {"kh_dh": "2", "temperature_c": "25"}, follow=True)
    assert "pH 6.8, 180 µS/cm, KH 2 °dH, 25 °C" in words(answer)
    assert "already" in words(as_keeper.post(new, {"name": "half RAIN", "comes_from": "rain"}))
    assert WaterSource.objects.count() == 1


def test_a_source_written_down_twice_is_joined(as_keeper, pool):
    rain, butt = source(), source("Rain butt")
    change(pool, percent=30, source=butt)
    as_keeper.post(reverse("housing:join_source", args=[butt.pk]), {"into": rain.pk})
    assert WaterChange.objects.get().source == rain
    assert list(WaterSource.objects.all()) == [rain]


def test_a_rhythm_is_chosen_and_given_up_on_the_tanks_own_page(as_keeper, pool):
    page = reverse("housing:rhythm", args=[pool.pk])
    as_keeper.post(page, {"test": "", "change": "7", "filter": "30"})
    assert "Water change every 7 days; filter care every 30 days" in words(
        as_keeper.get(pool.get_absolute_url())
    )
    as_keeper.post(page, {"test": "", "change": "7", "filter": ""})
    assert [(one.what, one.every_days) for one in TankRhythm.objects.all()] == [("change", 7)]
    assert "366" in words(as_keeper.post(page, {"change": "366"}))


def test_conductivity_counts_only_where_a_keeper_chose_a_range(as_owner, pool):
    limits = reverse("housing:limits")
    assert "no source is known" in words(as_owner.get(limits))
    read = {"temperature_c": "27", "ph": "7", "ammonia_mg_l": "0", "nitrite_mg_l": "0"}
    read |= dict.fromkeys(("ammonia_as", "nitrite_as", "nitrate_as"), "ion")
    test = reverse("housing:water_test", args=[pool.pk])
    shown = as_owner.post(test, read | {"conductivity_us_cm": "900", "kh_dh": "4"}, follow=True)
    assert "Water fit" in words(shown)
    assert "900 µS/cm" in words(shown)
    as_owner.post(limits, {"conductivity_most": "600"})
    shown = words(as_owner.get(pool.get_absolute_url()))
    assert "conductivity 900 µS/cm (allowed at most 600 µS/cm)" in shown
