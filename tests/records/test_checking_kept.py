"""The page of the check says as of when it stands, and looks again when it is asked to."""

import pytest
import time_machine
from django.db import connection

from breeding.animals.models import Animal, Measurement
from breeding.buyers.models import Contact
from breeding.buyers.services import add_contact
from breeding.program.unchanged.marks import look_again, watched
from breeding.records.checking import kept
from tests import cast
from tests.lists import plain

pytestmark = pytest.mark.django_db(transaction=True)
CHECK = "/records/check/"
WRITTEN_SINCE = "Records have been written since then"


@pytest.fixture(autouse=True)
def _nothing_kept_yet(transactional_db):
    kept._kept.clear()
    look_again()
    watched(connection)
    yield
    kept._kept.clear()


@pytest.fixture
def lyra(owner):
    vega, deneb = cast.female("Vega"), cast.male("Deneb")
    return cast.female("Lyra", sire=deneb, dam=vega)


def past_the_tool(name, **facts):
    Animal.every.filter(call_name=name).update(**facts)


def text(client, address=CHECK):
    return plain(client.get(address).content.decode())


@time_machine.travel("2026-11-20T15:04:00Z", tick=False)
def test_it_stands_until_one_asks_for_it_again(lyra, as_owner):
    assert "All records are whole" in text(as_owner)
    past_the_tool("Vega", sex="M")
    page = text(as_owner)
    assert "All records are whole" in page
    assert "Everything was looked at on Fri 20 Nov 2026, 15:04." in page
    assert WRITTEN_SINCE in page
    page = text(as_owner, f"{CHECK}?again=yes")
    assert "Vega is recorded as a male" in page
    assert WRITTEN_SINCE not in page
    assert "Vega is recorded as a male" in text(as_owner)


def test_a_new_day_looks_again(lyra, as_owner):
    with time_machine.travel("2026-11-20T15:04:00Z"):
        assert "All records are whole" in text(as_owner)
    past_the_tool("Vega", sex="M")
    with time_machine.travel("2026-11-21T09:00:00Z"):
        assert "Vega is recorded as a male" in text(as_owner)


def test_a_contact_that_was_changed_stands_in_none_of_before(lyra, as_owner, owner):
    """As by erasing a person, who would still be named in it."""
    bo = add_contact(by=owner, name="Bo Lind")
    assert "All records are whole" in text(as_owner)
    past_the_tool("Vega", sex="M")
    add_contact(by=owner, name="Ada Lund")
    assert "All records are whole" in text(as_owner)
    Contact.objects.filter(pk=bo.pk).update(name="a buyer")
    assert "Vega is recorded as a male" in text(as_owner)


def test_what_one_record_may_hold_is_no_answer_for_another_value(lyra, as_owner):
    weights = [
        cast.animals.add_measurement(lyra, by=None, on=cast.ago(number), weight_g=100)
        for number in (4, 3, 2, 1)
    ]
    for one in weights[1:3]:
        Measurement.objects.filter(pk=one.pk).update(weight_g=400_000)
    assert text(as_owner).count("less than or equal to 300000") == 2
