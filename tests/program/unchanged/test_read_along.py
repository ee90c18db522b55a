"""What is read once for several answers that are kept, and days and moments as they are read."""

import datetime

import pytest
from django.db import connection
from django.db.models import Max
from django.db.models.functions import Coalesce

from breeding.housing.models import Look, Tank
from breeding.program.frame.memory import for_one_request
from breeding.program.models import Person
from breeding.program.unchanged import along
from breeding.program.unchanged.along import read_along
from breeding.program.unchanged.growing import forget_kept, kept_while_growing
from breeding.program.unchanged.marks import look_again, watched
from breeding.program.unchanged.sqlite3.base import _read_moment

pytestmark = pytest.mark.django_db(transaction=True)
ON = datetime.date(2026, 3, 1)
AT = datetime.datetime(2026, 3, 1, 22, 15, 0, 250_000, tzinfo=datetime.UTC)


@pytest.fixture(autouse=True)
def _nothing_kept_yet(transactional_db):
    forget_kept()
    look_again()
    watched(connection)
    yield
    forget_kept()
    look_again()


def test_what_is_read_along_is_read_once_and_whoever_rests_on_it_is_reckoned_again(monkeypatch):
    monkeypatch.setattr(along, "_tables", {**along._tables, "names of tanks": None})
    read = []

    def names():
        def ask():
            read.append("tanks")
            return tuple(Tank.objects.order_by("name").values_list("name", flat=True))

        return read_along("names of tanks", ask)

    def page():
        with for_one_request(only_reads=True):
            first = kept_while_growing("how many tanks", lambda: len(names()), {})
            return first, kept_while_growing("the last tank", lambda: names()[-1], {})

    Tank.objects.create(name="Bay")
    assert [page(), page(), read] == [(1, "Bay"), (1, "Bay"), ["tanks"]]
    Tank.objects.create(name="Pool")
    assert (page(), len(read)) == ((2, "Pool"), 2)


def test_days_and_moments_are_read_alike_from_rows_and_from_what_is_reckoned_of_them():
    tank = Tank.objects.create(name="Bay")
    look = Look.objects.create(tank=tank, on=ON)
    person = Person.objects.create(username="Ada", last_login=AT, is_active=True)
    looks, people = Look.objects.filter(pk=look.pk), Person.objects.filter(pk=person.pk)
    assert looks.values_list("on", flat=True)[0] == looks.get().on == ON
    assert looks.aggregate(last=Max("on"))["last"] == ON
    assert looks.order_by().union(looks.order_by()).values_list("on", flat=True)[0] == ON
    read = [
        *people.values_list("last_login", flat=True),
        *people.values_list(Coalesce("last_login", "date_joined"), flat=True),
        people.get().last_login,
        people.aggregate(last=Max("last_login"))["last"],
        people.order_by().union(people.order_by()).values_list("last_login", flat=True)[0],
    ]
    assert read == [AT] * 5
    assert {one.tzinfo for one in read} == {datetime.UTC}
    assert people.values_list("is_active", flat=True)[0] is True


@pytest.mark.parametrize(
    ("stored", "moment"),
    [
        (b"2026-03-01 22:15:00.250000", AT),
        (b"2026-03-01 22:15:00", AT.replace(microsecond=0)),
        (b"2026-03-01", datetime.datetime(2026, 3, 1, tzinfo=datetime.UTC)),
        (b"2026-03-01 23:15:00.25+01:00", AT),
        (b"never", None),
    ],
)
def test_a_moment_is_in_utc_unless_it_says_another_zone(stored, moment):
    assert _read_moment(stored) == moment
