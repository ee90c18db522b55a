"""Tanks given up, and stays, looks and water tests changed and brought back."""

import datetime

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.housing.looks import change_look, days_looked_at, record_look
from breeding.housing.models import Stay, Tank, WaterTest
from breeding.housing.queries import companions, free_tanks
from breeding.housing.services import give_up_tank, move_animal, save_tank
from breeding.housing.stays import corrections
from breeding.housing.water.queries import water_fit
from breeding.housing.water.services import record_water_test
from breeding.pairings.care.nursery import nursery_of
from breeding.pairings.care.services import choose_nursery
from breeding.pairings.season.reading import season_of
from breeding.program import clock
from breeding.program.acts.mending import address_of, change_address_of
from breeding.program.models import Act
from breeding.program.queries import the_program
from breeding.program.services import bring_back, withdraw
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def pool():
    return Tank.objects.create(name="Pool")


@pytest.fixture
def bay():
    return Tank.objects.create(name="Bay")


@pytest.fixture
def mira():
    return cast.female()


def put(animal, tank, on) -> Stay:
    return move_animal(animal, tank, on=on, by=None)


def gone(record):
    return withdraw(record, by=None, now=clock.now(), reason="a slip")


def give_up(tank):
    return give_up_tank(tank, by=None, now=clock.now(), reason="cracked")


def undo(client):
    return client.post(reverse("program:undo", args=[Act.objects.latest("pk").pk]))


class TestTanks:
    def test_given_up_it_is_offered_no_more_and_who_was_in_it_stays_on_record(
        self, as_keeper, mira, pool, bay
    ):
        put(mira, pool, ago(40))
        put(mira, bay, ago(20))
        give_up(pool)
        assert free_tanks(clock.today()) == []
        move = words(as_keeper.get(reverse("housing:move", args=[mira.pk])))
        assert "Pool" not in move.split("<form")[-1]
        page = words(as_keeper.get(pool.get_absolute_url()))
        assert "Given up on Wed 25 Nov 2026, 12:00: cracked." in page
        assert f'<a href="{mira.get_absolute_url()}">Mira' in page
        assert Stay.objects.filter(tank=pool).count() == 1
        assert "Given up (1)" in words(as_keeper.get(reverse("housing:index")))

    def test_while_somebody_is_in_it_it_is_not_given_up(self, as_keeper, mira, pool):
        put(mira, pool, ago(40))
        page = words(as_keeper.post(address_of(pool), {"reason": "cracked"}))
        assert "Mira is in Pool; move them out first." in page
        assert Tank.objects.filter(pk=pool.pk).exists()

    def test_nobody_is_put_into_it(self, mira, pool):
        give_up(pool)
        with pytest.raises(ValidationError, match="Pool was given up on 25 November 2026; bring"):
            put(mira, pool, ago(1))

    def test_old_news_of_it_is_still_written(self, mira, pool):
        give_up(pool)
        stay = corrections.record_earlier_stay(mira, pool, since=ago(40), until=ago(30), by=None)
        assert stay.tank == pool
        with pytest.raises(ValidationError, match="was given up"):
            corrections.correct_stay(
                stay, since=ago(40), until=None, reason="still", by=None, now=clock.now()
            )

    def test_its_name_is_free_and_then_stops_it_from_coming_back(self, as_keeper, pool):
        give_up(pool)
        save_tank(Tank(name="Pool"))
        answer = as_keeper.post(reverse("program:bring_back", args=["tank", pool.pk]))
        assert answer.status_code == 422
        assert "Another tank in use is called so" in words(answer)

    def test_two_in_use_are_not_called_the_same(self, pool):
        with pytest.raises(ValidationError, match="Another tank in use is called so"):
            save_tank(Tank(name="Pool"))

    def test_brought_back_it_is_offered_again(self, pool):
        give_up(pool)
        bring_back(Tank.every.get())
        assert free_tanks(clock.today()) == [pool]

    def test_the_nursery_chosen_in_it_is_to_be_chosen_again(self, mira, pool):
        choose_nursery(mira, pool, on=ago(1), by=None, now=clock.now())

        def lacks():
            season = season_of(mira, the_program(), asof=clock.today())
            return nursery_of(season, the_program()).lacks

        assert "tank chosen" not in lacks()
        give_up(pool)
        assert "tank chosen" in lacks()

    def test_who_wrote_it_down_is_kept(self, as_keeper, keeper):
        as_keeper.post(reverse("housing:new"), {"name": "Pond", "kind": "breeding"})
        assert Tank.objects.get().recorded_by == keeper

    def test_how_it_was_stands_below_its_form(self, as_keeper, pool):
        address = change_address_of(pool)
        assert address == reverse("housing:edit", args=[pool.pk])
        as_keeper.post(address, {"name": "Pond", "kind": "breeding"})
        assert "name: from Pool to Pond" in words(as_keeper.get(address))


class TestStays:
    def test_brought_back_its_company_counts_again(self, mira, pool):
        deneb = cast.male()
        put(deneb, pool, ago(30))
        stay = put(mira, pool, ago(20))
        corrections.withdraw_stay(stay, reason="Vega", by=None, now=clock.now())
        assert companions(deneb) == []
        corrections.bring_back_stay(Stay.every.get(pk=stay.pk))
        assert companions(deneb) == [mira]

    def test_a_stay_in_its_days_is_in_the_way_and_named(self, as_keeper, mira, pool, bay):
        stay = put(mira, pool, ago(40))
        corrections.correct_stay(
            stay, since=ago(41), until=None, reason="read wrong", by=None, now=clock.now()
        )
        answer = as_keeper.post(reverse("program:bring_back", args=["stay", stay.pk]))
        assert answer.status_code == 422
        assert "Mira is on record in Pool from 15 October 2026 until now." in words(answer)

    def test_one_that_left_meanwhile_is_not_there_again(self, mira, pool):
        stay = put(mira, pool, ago(40))
        corrections.withdraw_stay(stay, reason="Vega", by=None, now=clock.now())
        mira.state, mira.state_on = "left", ago(60)
        mira.save()
        with pytest.raises(ValidationError, match="Mira left"):
            corrections.bring_back_stay(Stay.every.get(pk=stay.pk))

    def test_the_page_offers_to_bring_it_back(self, as_keeper, mira, pool):
        stay = put(mira, pool, ago(40))
        corrections.withdraw_stay(stay, reason="Vega", by=None, now=clock.now())
        page = words(as_keeper.get(reverse("housing:stays", args=[mira.pk])))
        assert f'<a href="{address_of(stay)}">bring back</a>' in page


class TestUndone:
    def test_after_it_an_animal_would_be_in_two_places_so_it_is_refused_by_name(
        self, as_keeper, mira, pool, bay
    ):
        put(mira, pool, ago(40))
        move_animal(mira, None, on=ago(20), by=None)
        stay = Stay.objects.get()
        as_keeper.post(address_of(stay), {"reason": "Vega"})
        corrections.record_earlier_stay(mira, bay, since=ago(35), until=ago(30), by=None)
        act = Act.objects.get()
        answer = as_keeper.post(reverse("program:undo", args=[act.pk]))
        assert answer.status_code == 409
        assert "Mira would be in Pool and in Bay from 21 October 2026 on." in words(answer)
        assert [one.tank for one in Stay.objects.all()] == [bay]

    def test_nobody_is_back_in_a_tank_that_was_given_up(self, as_keeper, mira, pool, bay):
        put(mira, pool, ago(40))
        as_keeper.post(
            reverse("housing:move", args=[mira.pk]), {"tank": str(bay.pk), "on": str(ago(0))}
        )
        give_up(pool)
        answer = undo(as_keeper)
        assert answer.status_code == 409
        assert "Pool was given up on 25 November 2026" in words(answer)
        assert Stay.objects.get(until=None).tank == bay

    def test_a_new_tank_is_taken_back_and_stays_readable(self, as_keeper):
        as_keeper.post(reverse("housing:new"), {"name": "Pond", "kind": "breeding"})
        assert undo(as_keeper).status_code == 302
        assert not Tank.objects.exists()
        assert as_keeper.get(Tank.every.get().get_absolute_url()).status_code == 200


class TestLooks:
    def test_of_another_tank_the_day_is_one_of_hers(self, mira, pool, bay):
        vega = cast.female("Vega")
        put(mira, pool, ago(40))
        put(vega, bay, ago(40))
        look, _ = record_look(pool, on=ago(3), today=clock.today(), by=None)
        change_look(look, tank=bay, on=ago(3), today=clock.today())
        assert dict(days_looked_at([mira.pk, vega.pk])) == {vega.pk: {ago(3)}}

    def test_where_nobody_was_there_was_nobody_to_see(self, mira, pool, bay):
        put(mira, pool, ago(40))
        look, _ = record_look(pool, on=ago(3), today=clock.today(), by=None)
        with pytest.raises(ValidationError, match="Nobody was in Bay on 22 November 2026"):
            change_look(look, tank=bay, on=ago(3), today=clock.today())

    def test_ticked_off_again_since_it_does_not_come_back(self, as_keeper, mira, pool):
        put(mira, pool, ago(40))
        look, _ = record_look(pool, on=ago(3), today=clock.today(), by=None)
        gone(look)
        record_look(pool, on=ago(3), today=clock.today(), by=None)
        answer = as_keeper.post(reverse("program:bring_back", args=["look", look.pk]))
        assert answer.status_code == 422
        assert "on record for this day already" in words(answer)


class TestWater:
    def test_a_changed_reading_changes_whether_it_is_fit(self, as_keeper, pool):
        facts = {"temperature_c": 26, "ph": 7, "ammonia_mg_l": 0, "nitrite_mg_l": 1}
        test = record_water_test(pool, tested_at=clock.now(), now=clock.now(), by=None, **facts)
        assert water_fit(pool, clock.today()).fit is False
        sent = {
            "tank": pool.pk,
            "tested_at": "2026-11-25T12:00",
            "temperature_c": "26",
            "ph": "7",
            "ammonia_mg_l": "0",
            "ammonia_as": "ion",
            "nitrite_mg_l": "0",
            "nitrite_as": "ion",
            "nitrate_mg_l": "",
            "nitrate_as": "ion",
            "note": "",
        }
        answer = as_keeper.post(change_address_of(test), sent)
        assert answer.url == reverse("housing:water", args=[test.pk])
        assert water_fit(pool, clock.today()).fit is True

    def test_a_temperature_shown_in_fahrenheit_is_not_rounded_by_saving(self, as_keeper, pool):
        program = the_program()
        program.temperature_unit = "F"
        program.save()
        test = record_water_test(
            pool,
            tested_at=clock.now() - datetime.timedelta(hours=1),
            now=clock.now(),
            by=None,
            temperature_c="25.37",
        )
        form = as_keeper.get(change_address_of(test)).context["form"]
        assert form["temperature_c"].value() == "77.7"
        sent = {"tank": pool.pk, "tested_at": "2026-11-25T11:00", "temperature_c": "77.7"}
        units = {f"{what}_as": "ion" for what in ("ammonia", "nitrite", "nitrate")}
        as_keeper.post(change_address_of(test), {**sent, **units, "note": "by the window"})
        kept = WaterTest.objects.get()
        assert (str(kept.temperature_c), kept.note) == ("25.37", "by the window")
