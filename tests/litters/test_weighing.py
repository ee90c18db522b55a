"""Weighing a litter or a tank as one table: all or nothing, asked once, one act."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.models import Measurement
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.litters.births.facts import PupFacts
from breeding.litters.services import record_birth
from breeding.program import clock
from breeding.program.models import Act
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def litter(owner):
    dam = cast.female("Mira", pure="motoro")
    pups = [PupFacts(disc_width_mm=100 + n, weight_g=50 + n) for n in range(3)]
    return record_birth(
        dam=dam,
        born_on=ago(21),
        pups=[*pups, PupFacts(alive=False)],
        today=clock.today(),
        by=None,
    )


def page_of(litter):
    return reverse("litters:weigh", args=[litter.pk])


def young_of(litter):
    return [pup.animal for pup in litter.pups.select_related("animal") if pup.animal]


def table(*rows, **more):
    """As the page sends it: each row an animal, its width, weight and condition."""
    sent = {"on": ago(0).isoformat()}
    for animal, width, weight, condition in rows:
        key = animal.pk
        sent |= {f"disc_width_mm_{key}": width, f"weight_g_{key}": weight}
        sent |= {f"condition_{key}": condition}
    return sent | more


def new_ones():
    return Measurement.objects.filter(on=ago(0))


def test_the_table_shows_whom_and_what_they_were_last(as_keeper, litter):
    page = words(as_keeper.get(page_of(litter)))
    for one in young_of(litter):
        assert one.name in page
    assert "10.2 cm 52 g" in page
    assert "weigh.js" in page


def test_one_table_is_kept_and_empty_rows_are_none(as_keeper, litter):
    first, second, third = young_of(litter)
    sent = table((first, "11.8", "78", "3"), (second, "", "80", ""), (third, "", "", ""))
    page = as_keeper.post(page_of(litter), sent, follow=True)
    assert "2 animals measured." in words(page)
    found = {one.animal: (one.disc_width_mm, one.weight_g, one.condition) for one in new_ones()}
    assert found == {first: (118, 78, 3), second: (None, 80, None)}


def test_all_or_nothing_with_the_error_beside_its_cell(as_keeper, litter):
    first, second, _ = young_of(litter)
    page = as_keeper.post(
        page_of(litter), table((first, "11.8", "78", "3"), (second, "wide", "80", "9"))
    )
    errors = page.context["form"].errors
    assert set(errors) == {f"disc_width_mm_{second.pk}", f"condition_{second.pk}"}
    assert 'value="78"' in words(page)
    assert not new_ones().exists()


def test_a_slip_is_asked_about_by_name_and_kept_when_it_is_right(as_keeper, litter):
    first, second, _ = young_of(litter)
    sent = table((first, "11.8", "78", ""), (second, "11.8", "7", ""))
    page = as_keeper.post(page_of(litter), sent)
    assert f"{second.name}: A weight of 7 g does not go with" in words(page)
    assert f"{first.name}: " not in words(page)
    assert not new_ones().exists()
    marks = words(page).split('name="sure" value="')[1].split('"')[0]
    as_keeper.post(page_of(litter), sent | {"sure": marks})
    assert new_ones().count() == 2


def test_a_second_time_on_one_day_is_asked(as_keeper, litter):
    first, *_ = young_of(litter)
    sent = table((first, "", "78", ""))
    as_keeper.post(page_of(litter), sent)
    page = as_keeper.post(page_of(litter), table((first, "", "79", "")))
    assert f"{first.name} is measured on" in words(page)
    assert new_ones().count() == 1


def test_an_empty_table_is_said(as_keeper, litter):
    page = as_keeper.post(page_of(litter), table())
    assert "Nothing is filled in yet" in words(page)


def test_a_day_before_the_birth_is_refused_by_name(as_keeper, litter):
    first, *_ = young_of(litter)
    page = as_keeper.post(page_of(litter), table((first, "", "78", ""), on=ago(40).isoformat()))
    assert first.name in " ".join(page.context["form"].errors["on"])
    assert not new_ones().exists()


def test_sent_twice_is_once_and_undone_as_one(as_keeper, litter):
    page = as_keeper.get(page_of(litter))
    once = page.content.decode().split('name="once" value="')[1].split('"')[0]
    sent = table(*((one, "", "75", "3") for one in young_of(litter)), once=once)
    for _ in range(2):
        as_keeper.post(page_of(litter), sent, follow=True)
    assert new_ones().count() == 3
    act = Act.objects.latest("pk")
    as_keeper.post(reverse("program:undo", args=[act.pk]), follow=True)
    assert not new_ones().exists()


def test_the_animals_of_a_tank_likewise(as_keeper, litter):
    tank = Tank.objects.create(name="Bay")
    first, second, _ = young_of(litter)
    for one in (first, second):
        move_animal(one, tank, on=ago(1), by=None)
    address = reverse("housing:weigh", args=[tank.pk])
    assert "Weigh them" in words(as_keeper.get(tank.get_absolute_url()))
    as_keeper.post(address, table((second, "11.5", "75", "3")), follow=True)
    assert new_ones().get().animal == second


def test_the_page_asks_the_same_questions_with_many_more_measurements(as_keeper, litter):
    def asked():
        with CaptureQueriesContext(connection) as queries:
            assert as_keeper.get(page_of(litter)).status_code == 200
        return len(queries)

    asked()
    before = asked()
    for one in young_of(litter):
        Measurement.objects.bulk_create(
            Measurement(animal=one, on=ago(days), disc_width_mm=110, weight_g=70)
            for days in range(1, 21)
        )
    assert asked() <= before < 25
