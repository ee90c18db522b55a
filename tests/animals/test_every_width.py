"""The widths of the program are kept while measurements are written, and are as on record."""

import random
import re

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from breeding.animals.growth import measured
from breeding.animals.growth.measured import every_width
from breeding.animals.models import Animal, Measurement
from breeding.program.frame.memory import for_one_request
from breeding.program.unchanged import growing
from breeding.program.unchanged.growing import forget_kept
from breeding.program.unchanged.marks import TABLE, look_again
from breeding.program.unchanged.rows import SHELF
from tests import cast
from tests.cast import ago
from tests.tries import tries

SINCE = re.compile(r'"animals_measurement"."id" (> |IN )')
pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _nothing_kept_yet(transactional_db):
    look_again()
    forget_kept()
    SHELF.empty()
    yield
    look_again()
    forget_kept()
    SHELF.empty()


@pytest.fixture
def animals(owner):
    found = [cast.female("Mira"), cast.female("Vega"), cast.male("Deneb")]
    for n, one in enumerate(found):
        add(one, 100 + n, days=30 + n)
    return found


def add(animal, width_mm, days, grams=None):
    on = None if days is None else ago(days)
    return Measurement.objects.create(
        animal=animal, on=on, disc_width_mm=width_mm, weight_g=grams, condition=3
    )


def as_a_page_reads():
    with for_one_request(only_reads=True):
        return list(every_width())


def as_an_act_reads():
    with for_one_request(), transaction.atomic():
        return list(every_width())


def on_record():
    """The plain reading, in the order that is promised."""
    rows = [
        one
        for one in Measurement.objects.select_related("animal")
        if one.disc_width_mm and not one.animal.is_withdrawn
    ]
    rows.sort(key=lambda one: (one.on is not None, one.on or ago(99_999), one.pk), reverse=True)
    return [
        (one.pk, one.animal_id, one.animal.sex, one.on, one.disc_width_mm, one.weight_g)
        for one in rows[: measured.MOST_WIDTHS]
    ]


def told(widths):
    return [(w.key, w.animal, w.sex, w.on, w.width_mm, w.weight_g) for w in widths]


def large_reads(read):
    """Questions to the table of measurements, without those for what was written since."""
    with CaptureQueriesContext(connection) as queries:
        read()
    of_table = [one["sql"] for one in queries if "animals_measurement" in one["sql"]]
    return [sql for sql in of_table if TABLE not in sql and not SINCE.search(sql)]


@pytest.mark.parametrize("seed", range(tries(4)))
def test_after_any_acts_they_are_as_on_record(animals, seed, monkeypatch):
    monkeypatch.setattr(measured, "MOST_WIDTHS", 12)
    monkeypatch.setattr(measured, "MOST_WRITTEN", 5)
    draw = random.Random(seed)

    def change():
        one = draw.choice(list(Measurement.every.all()))
        one.disc_width_mm = draw.choice([None, draw.randrange(50, 400)])
        one.save()

    def withdraw():
        one = draw.choice(list(Measurement.every.all()))
        one.withdrawn_at = None if one.is_withdrawn else timezone.now()
        one.save()

    def change_animal():
        one = Animal.every.get(pk=draw.choice(animals).pk)
        one.sex = draw.choice("FMU")
        one.withdrawn_at = draw.choice([None, timezone.now()])
        one.save()

    def add_one():
        days = draw.choice([None, *range(60)])
        add(draw.choice(animals), draw.choice([None, 120, 200]), days, draw.choice([None, 90]))

    acts = (*[add_one] * 8, change, withdraw, change_animal)
    for _ in range(50):
        draw.choice(acts)()
        for read in draw.sample((as_a_page_reads, as_an_act_reads), draw.randrange(3)):
            assert told(read()) == on_record()


def test_with_a_measurement_more_only_this_is_read(animals):
    as_a_page_reads()
    as_a_page_reads()
    for n in range(3):
        add(animals[0], 130 + n, days=2, grams=80)
        assert large_reads(as_an_act_reads) == []
        assert large_reads(as_a_page_reads) == []
    assert [one.width_mm for one in as_a_page_reads()[:3]] == [132, 131, 130]


def test_what_was_added_is_there_though_others_read_all_again_meanwhile(animals, monkeypatch):
    as_a_page_reads()
    add(animals[0], 150, days=2)
    holds = growing._still_holds

    def meanwhile(*asked):
        found = holds(*asked)
        forget_kept()
        return found

    monkeypatch.setattr(growing, "_still_holds", meanwhile)
    assert told(as_a_page_reads()) == on_record()


def test_when_some_were_changed_only_these_are_read_again(animals):
    as_a_page_reads()
    as_a_page_reads()
    Measurement.objects.filter(animal=animals[0]).update(disc_width_mm=300)
    Measurement.objects.filter(animal=animals[1]).update(withdrawn_at=timezone.now())
    assert large_reads(as_an_act_reads) == []
    assert large_reads(as_a_page_reads) == []
    assert [one.width_mm for one in as_a_page_reads()] == [300, 102]


def test_after_many_were_changed_or_an_animal_was_all_are_read_again(animals, monkeypatch):
    monkeypatch.setattr(measured, "MOST_WRITTEN", 1)
    as_a_page_reads()
    Measurement.objects.filter(animal__in=animals[:2]).update(disc_width_mm=300)
    assert len(large_reads(as_a_page_reads)) == 1
    animals[0].note = "Pale"
    animals[0].save()
    assert len(large_reads(as_a_page_reads)) == 1


def test_those_that_come_after_ones_that_went_stand_ready(animals, monkeypatch):
    monkeypatch.setattr(measured, "MOST_WIDTHS", 2)
    assert [one.width_mm for one in as_a_page_reads()] == [100, 101]
    Measurement.objects.filter(animal=animals[0]).delete()
    assert large_reads(as_a_page_reads) == []
    assert [one.width_mm for one in as_a_page_reads()] == [101, 102]
