"""Records that nearly every page reads are built once: handed out as copies, never an old one."""

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from breeding.animals.around import everybody_around
from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.lately import stays_of_late
from breeding.program.frame.memory import for_one_request, remember
from breeding.program.unchanged import records
from breeding.program.unchanged.marks import NAME, look_again, standing
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
    "another comes to it": lambda mira: Stay.objects.create(
        animal=cast.female("Vega"), tank=Tank.objects.get(), since=ago(3)
    ),
    "one came sooner": lambda mira: Stay.objects.update(since=ago(20)),
    "one is moved as a move is written": lambda mira: _moved(
        mira, Tank.objects.create(name="Pool")
    ),
    "all of them go": lambda mira: Stay.every.all().delete(),
}


def _moved(animal, tank):
    Stay.objects.filter(until=None).update(until=ago(0))
    Stay.objects.create(animal=animal, tank=tank, since=ago(0))


@pytest.mark.parametrize("write", WRITES.values(), ids=WRITES)
def test_what_is_kept_is_what_would_be_read_after_every_act(mira, write):
    assert page(everybody) == page(everybody) == ["Mira"]
    assert len(page(stays)) == len(page(stays)) == 1
    write(mira)
    kept = page(everybody), page(stays)
    assert (page(everybody), page(stays)) == kept
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


def test_of_a_row_that_was_written_alone_the_record_is_built_again(mira, monkeypatch):
    vega = cast.female("Vega")
    Stay.objects.create(animal=vega, tank=Tank.objects.get(), since=ago(3))
    page(stays)
    asked = []
    monkeypatch.setattr(Stay, "from_db", classmethod(_noting(Stay.from_db.__func__, asked)))
    Stay.objects.filter(animal=vega).update(side="left")
    found = page(lambda: stays_of_late(ago(0)))
    assert [one.side for one in found] == ["", "left"]
    assert len(asked) == 1
    assert found[0].tank is found[1].tank
    with for_one_request(), transaction.atomic():  # an act sees what it writes itself
        Stay.objects.filter(animal=vega).update(side="right")
        assert [one[-1] for one in stays()] == ["", "right"]
        assert len(asked) == 2
        transaction.set_rollback(True)
    assert [one[-1] for one in page(stays)] == ["", "left"]


def test_of_a_row_that_was_written_beside_a_record_it_alone_is_built_again(mira, monkeypatch):
    vega = cast.female("Vega")
    Stay.objects.create(animal=vega, tank=Tank.objects.get(), since=ago(3))
    page(stays)
    asked = []
    monkeypatch.setattr(Stay, "from_db", classmethod(_noting(Stay.from_db.__func__, asked)))
    Animal.objects.filter(pk=vega.pk).update(call_name="Wega")
    cast.female("Lyra")  # who is in no tank
    assert [one[0] for one in page(stays)] == ["Mira", "Wega"]
    assert len(asked) == 1
    with for_one_request(), transaction.atomic():
        Animal.objects.filter(pk=mira.pk).update(call_name="Mirach")
        assert [one[0] for one in stays()] == ["Mirach", "Wega"]
        transaction.set_rollback(True)
    assert [one[0] for one in page(stays)] == ["Mira", "Wega"]
    Tank.objects.update(name="Pool")  # it is not known which: all are read
    assert [one[2] for one in page(stays)] == ["Pool", "Pool"]


def _noting(build, asked):
    def from_db(cls, *row):
        asked.append(row)
        return build(cls, *row)

    return from_db


def test_with_very_many_that_are_others_all_are_read(mira, monkeypatch):
    monkeypatch.setattr(records, "MOST_ANEW", 1)
    page(stays)
    for side in ("left", "right", "left"):
        Stay.objects.update(side=side)
        assert [one[-1] for one in page(stays)] == [side]
    [(_, kept)] = records._kept.every()
    assert len(kept.patterns) <= 4


def test_beside_records_of_their_own_kind_all_are_read(mira):
    vega = cast.female("Vega")
    Animal.objects.filter(pk=vega.pk).update(dam=mira)

    def dams():
        read = lambda: Animal.objects.select_related("dam").order_by("pk")  # noqa: E731
        return [one.dam and one.dam.call_name for one in kept_records("with dams", read)]

    assert page(dams) == [None, "Mira"]
    Animal.objects.filter(pk=mira.pk).update(call_name="Mirach")
    assert page(dams) == [None, "Mirach"]


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


def test_a_record_is_never_older_than_the_row_beside_it(mira):
    page(everybody)
    forget_records()  # what the database answered at these marks is known still
    with for_one_request(only_reads=True):
        before = standing(connection)
        Animal.objects.update(call_name="Mirach")
        remember(NAME, before)  # somebody else wrote it: this request has read its marks already
        everybody()
    assert page(everybody) == ["Mirach"]
    assert page(lambda: bool(standing(connection)) and everybody()) == ["Mirach"]


def test_after_records_were_built_the_request_knows_its_marks_still(mira):
    with for_one_request(only_reads=True):
        before = standing(connection)
        everybody()
        assert standing(connection) is before
        with CaptureQueriesContext(connection) as asked:
            assert standing(connection) is before
        assert len(asked) == 0
