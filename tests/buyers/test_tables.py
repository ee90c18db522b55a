"""What the list of wishes can be narrowed to and sorted by."""

import pytest

from breeding.buyers.models import Contact, Reservation
from breeding.buyers.waiting import add_wish
from breeding.program import clock
from breeding.program.services import withdraw
from tests import cast
from tests.lists import names, page_of

pytestmark = pytest.mark.django_db
WISHES = "buyers:wishes"


@pytest.fixture
def wishes(owner):
    """Ada's is met by Mira, Ben's stands since September, Cleo's is off the list."""
    day = cast.day
    ada, ben, cleo = (Contact.objects.create(name=name) for name in ("Ada", "Ben", "Cleo"))
    motoro = cast.species("motoro")
    add_wish(ada, by=None, wished_on=day("2026-10-01"), species=motoro, sex="F")
    add_wish(ben, by=None, wished_on=day("2026-09-01"), kind="pure", sex="M", note="large")
    off = add_wish(cleo, by=None, wished_on=day("2026-11-01"))
    withdraw(off, by=None, now=clock.now(), reason="Moved away.")
    mira = cast.female("Mira", pure="motoro")
    Reservation.objects.create(contact=ada, animal=mira, reserved_on=day("2026-10-05"))


def test_wishes_are_found_by_how_they_stand(as_keeper, wishes):
    assert names(as_keeper, WISHES) == ["Ben"]
    assert names(as_keeper, WISHES, state="met") == ["Ada"]
    assert names(as_keeper, WISHES, state="withdrawn") == ["Cleo"]
    assert names(as_keeper, WISHES, state="all") == ["Ben", "Ada", "Cleo"]
    assert "met: Mira is reserved for them" in page_of(as_keeper, WISHES, state="met")
    assert "off the list: Moved away." in page_of(as_keeper, WISHES, state="withdrawn")
    assert "1 of 3 wishes" in page_of(as_keeper, WISHES)


def test_wishes_are_found_by_what_is_asked_for_and_since_when(as_keeper, wishes):
    assert names(as_keeper, WISHES, state="all", q="large") == ["Ben"]
    assert names(as_keeper, WISHES, state="all", species=cast.species("motoro").pk) == ["Ada"]
    assert names(as_keeper, WISHES, state="all", sex="M") == ["Ben"]
    assert names(as_keeper, WISHES, state="all", kind="pure") == ["Ben"]
    assert names(as_keeper, WISHES, state="all", since="2026-10-01") == ["Ada", "Cleo"]
    assert names(as_keeper, WISHES, state="all", until="2026-10-01") == ["Ben", "Ada"]


def test_wishes_are_sorted_by_contact_and_day(as_keeper, wishes):
    assert names(as_keeper, WISHES, state="all", sort="-contact") == ["Cleo", "Ben", "Ada"]
    assert names(as_keeper, WISHES, state="all", sort="-wished_on") == ["Cleo", "Ada", "Ben"]
