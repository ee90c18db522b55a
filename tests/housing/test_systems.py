"""Water that tanks share, on a page of its own; and water judged by the species in it."""

import pytest
from django.urls import reverse
from django.utils import timezone

from breeding.animals.species.adding import add_species, blank_start
from breeding.animals.species.figures import Typed
from breeding.housing.models import Tank, WaterRange, WaterSystem
from breeding.housing.services import move_animal
from breeding.housing.water.queries import dangerous_in, water_fit
from breeding.housing.water.services import record_water_test
from breeding.housing.water.systems import add_system, change_system
from breeding.program import clock
from breeding.program.queries import the_program
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
SYSTEMS = reverse("housing:systems")


def test_a_shared_water_is_written_down_with_its_note(as_keeper):
    sent = {"name": "Boathouse sump", "note": "400 l, under the stairs"}
    page = as_keeper.post(reverse("housing:new_system"), sent, follow=True)
    assert "The shared water Boathouse sump is written down." in words(page)
    assert "400 l, under the stairs" in words(as_keeper.get(SYSTEMS))


def test_the_page_names_the_tanks_of_each(as_keeper):
    sump = add_system(by=None, name="Boathouse sump")
    tank = Tank.objects.create(name="Pool", system=sump)
    assert f'<a href="{tank.get_absolute_url()}">Pool</a>' in words(as_keeper.get(SYSTEMS))


def test_ten_more_waters_cost_no_more_questions(as_keeper, django_assert_max_num_queries):
    for number in range(12):
        Tank.objects.create(name=f"T{number}", system=add_system(by=None, name=f"Sump {number}"))
    as_keeper.get(SYSTEMS)
    with django_assert_max_num_queries(10):
        as_keeper.get(SYSTEMS)


def test_one_with_tanks_is_joined_and_not_withdrawn(as_keeper):
    sump, twice = (add_system(by=None, name=name) for name in ("Boathouse sump", "Boat house"))
    tank = Tank.objects.create(name="Pool", system=twice)
    address = reverse("program:withdraw", args=["shared-water", twice.pk])
    assert "because tank “Pool” rests on it" in words(as_keeper.post(address, {"reason": "twice"}))
    join = reverse("housing:join_system", args=[twice.pk])
    page = as_keeper.post(join, {"into": sump.pk}, follow=True)
    assert "1 tank of Boat house went to Boathouse sump." in words(page)
    assert Tank.objects.get(pk=tank.pk).system == sump
    assert WaterSystem.every.get(pk=twice.pk).is_withdrawn


def test_a_new_water_that_a_tank_names_is_refused_beside_its_field(as_keeper):
    sent = {"name": "Pool", "kind": "breeding", "new_system": "Sump \u202epmuS"}
    page = as_keeper.post(reverse("housing:new"), sent)
    assert "turns the writing around" in " ".join(page.context["form"].errors["new_system"])
    assert not Tank.objects.exists()


def test_a_choice_of_what_is_fit_keeps_where_it_comes_from(as_owner):
    address = reverse("housing:limits")
    form = as_owner.get(address).context["form"]
    sent = {name: form[name].value() or "" for name in form.fields}
    sent |= {"temperature_most": "29", "temperature_source": "own book, 2025"}
    assert as_owner.post(address, sent).status_code == 302
    assert WaterRange.objects.get().source == "own book, 2025"
    shown = as_owner.get(address).context["form"]["temperature_source"].value()
    assert shown == "own book, 2025"


def test_a_source_of_a_range_that_nobody_chose_is_not_lost_without_a_word(as_owner):
    address = reverse("housing:limits")
    form = as_owner.get(address).context["form"]
    sent = {name: form[name].value() or "" for name in form.fields}
    page = as_owner.post(address, sent | {"ph_source": "own book"})
    assert "comes with the program, with its own source" in words(page)


def test_water_is_judged_by_the_figures_of_the_species_in_it(owner):
    today, cold = clock.today(), {"water_temperature_least_c": 16, "water_temperature_most_c": 22}
    add_species(
        by=owner,
        start=blank_start(),
        typed={name: Typed(value, "A", "") for name, value in cold.items()},
        length_unit="cm",
        accepted_name="Lanternus frigidus",
    )
    brook, pool = Tank.objects.create(name="Brook"), Tank.objects.create(name="Pool")
    move_animal(cast.female("Mira", pure="lanternus-frigidus"), brook, on=cast.ago(9), by=None)
    move_animal(cast.female("Vega", pure="motoro"), pool, on=cast.ago(9), by=None)
    now = timezone.now()
    facts = {"temperature_c": 18, "ph": 7, "ammonia_mg_l": 0, "nitrite_mg_l": 0}
    for tank in (brook, pool):
        record_water_test(tank, tested_at=now, now=now, by=None, **facts)
    assert water_fit(brook, today).fit is True
    assert water_fit(pool, today).fit is False


def test_the_emergency_of_a_ray_is_none_where_no_ray_is_kept(owner):
    small = add_species(
        by=owner, start=blank_start(), typed={}, length_unit="cm", accepted_name="Lanternus minimus"
    )
    cast.female("Mira", pure=small.key)
    tank, now = Tank.objects.create(name="Brook"), timezone.now()
    test = record_water_test(tank, tested_at=now, now=now, by=None, temperature_c=18)
    assert dangerous_in(test, the_program()) == []
    cast.female("Vega", pure="motoro")
    (said,) = dangerous_in(test, the_program())
    assert said.startswith("18 °C is an emergency for a ray")


def test_what_a_shared_water_has_not_is_an_error_of_the_code():
    with pytest.raises(ValueError, match="no 'depth'"):
        change_system(WaterSystem(name="Sump"), depth=2)
