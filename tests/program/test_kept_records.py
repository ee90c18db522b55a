"""Records that nearly every page reads are built once: handed out as copies, never an old one."""

import pytest
from django.db import transaction

from breeding.animals.around import everybody_around
from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.lately import stays_of_late
from breeding.program.frame.memory import for_one_request
from breeding.program.unchanged.marks import look_again
from breeding.program.unchanged.records import forget_records, kept_records
from tests import cast
from tests.cast import ago

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _nothing_kept_yet(transactional_db):
    look_again()
    forget_records()
    yield
    forget_records()
    look_again()


@pytest.fixture
def mira():
    mira = cast.female("Mira")
    Stay.objects.create(animal=mira, tank=Tank.objects.create(name="Bay"), since=ago(9))
    return mira


def page(read):
    with for_one_request(only_reads=True):
        return read()


def everybody():
    return [one.call_name for one in everybody_around(ago(0))]


def stays():
    return [
        (one.animal.call_name, one.animal.state, one.tank.name, one.since, one.until, one.side)
        for one in stays_of_late(ago(0))
    ]


WRITES = {
    "an animal is written down": lambda mira: cast.female("Vega"),
    "one is renamed": lambda mira: Animal.objects.update(call_name="Mirach"),
    "one is gone": lambda mira: Animal.objects.update(state="left", state_on=ago(1)),
    "one died": lambda mira: Animal.objects.update(state="died", state_on=ago(1)),
    "one is withdrawn": lambda mira: Animal.objects.update(withdrawn_at=cast.clock.now()),
    "one is moved": lambda mira: Stay.objects.update(tank=Tank.objects.create(name="Pool")),
    "a stay ends": lambda mira: Stay.objects.update(until=ago(1)),
    "a stay is withdrawn": lambda mira: Stay.objects.update(withdrawn_at=cast.clock.now()),
    "a tank is renamed": lambda mira: Tank.objects.update(name="Pool"),
    "a side is put right": lambda mira: Stay.objects.update(side="left"),
    "all of them go": lambda mira: Stay.every.all().delete(),
}


@pytest.mark.parametrize("write", WRITES.values(), ids=WRITES)
def test_what_is_kept_is_what_would_be_read_after_every_act(mira, write):
    assert page(everybody) == page(everybody) == ["Mira"]
    assert len(page(stays)) == len(page(stays)) == 1
    write(mira)
    kept = page(everybody), page(stays)
    forget_records()
    assert kept == (page(everybody), page(stays)) == (everybody(), stays())


def test_who_changes_a_record_changes_it_for_nobody_else(mira):
    def change():
        one = stays_of_late(ago(0))[0]
        one.side, one.animal.call_name, one.tank.name = "left", "Mine", "Mine"
        one.animal.dam = Animal(call_name="Nobody's")
        return one

    page(change)
    changed = page(change)
    fresh = page(lambda: stays_of_late(ago(0))[0])
    assert (fresh.side, fresh.animal.call_name, fresh.tank.name) == ("", "Mira", "Bay")
    assert fresh.animal.dam is None
    assert fresh == changed
    assert fresh is not changed
    assert not fresh._state.adding


def test_what_is_read_beside_a_copy_stays_with_it(mira):
    keeper = cast.owner()
    Animal.objects.update(recorded_by=keeper)
    assert page(lambda: everybody_around()[0].recorded_by.username) == keeper.username
    type(keeper).objects.update(username="another")
    assert page(lambda: everybody_around()[0].recorded_by.username) == "another"


def test_a_tank_is_one_for_all_who_are_in_it(mira):
    vega = cast.female("Vega")
    Stay.objects.create(animal=vega, tank=Tank.objects.get(), since=ago(3))
    page(stays)
    found = page(lambda: stays_of_late(ago(0)))
    assert found[0].tank is found[1].tank
    assert found[0].animal is not found[1].animal


def test_in_a_transaction_and_where_something_may_be_written_all_is_read(mira):
    page(everybody)
    with transaction.atomic():
        Animal.objects.update(call_name="Never")
        with for_one_request(only_reads=True):
            assert everybody() == ["Never"]
        transaction.set_rollback(True)
    with for_one_request():
        assert everybody() == ["Mira"]
        Animal.objects.update(call_name="Mirach")
    with for_one_request():
        assert everybody() == ["Mirach"]


def test_few_answers_are_kept(mira):
    for number in range(9):
        page(lambda number=number: kept_records(("tanks", number), Tank.objects.all))
    from breeding.program.unchanged import records

    assert len(records._kept) == records.MOST


def test_what_others_put_away_meanwhile_is_handed_out_all_the_same(mira, monkeypatch):
    from breeding.program.unchanged import records

    page(everybody)
    stands = records._stands

    def meanwhile(*asked):
        found = stands(*asked)
        forget_records()
        return found

    monkeypatch.setattr(records, "_stands", meanwhile)
    assert page(everybody) == ["Mira"]
