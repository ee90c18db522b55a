"""What closed seasons teach is kept from page to page, and never told when it is another."""

import datetime

import pytest
from django.db import transaction

from breeding.animals.models import Measurement
from breeding.animals.services import add_measurement
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.pairings.models import Outcome, Pairing
from breeding.pairings.season.facts import gather
from breeding.pairings.season.past import lessons
from breeding.pairings.season.past.lessons import closed_of, every_closed
from breeding.pairings.services import record_scan
from breeding.program import clock
from breeding.program.frame.memory import for_one_request
from breeding.program.services import withdraw
from breeding.program.unchanged.growing import forget_kept
from breeding.program.unchanged.marks import look_again
from tests import cast
from tests.cast import ago, pair, see

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _nothing_kept_yet(transactional_db):
    look_again()
    forget_kept()
    yield
    forget_kept()
    look_again()


@pytest.fixture
def mira(owner):
    """She bore young 200 days ago, mated 110 days before, and is with him again."""
    mira, deneb = cast.female("Mira", pure="motoro"), cast.male("Deneb", pure="motoro")
    pair(mira, deneb, 330, 300)
    see(mira, 310)
    Outcome.objects.create(female=mira, on=ago(200), kind="live_birth")
    pair(mira, deneb, 30)
    pond, cove = Tank.objects.create(name="Pond"), Tank.objects.create(name="Cove")
    Stay.objects.create(animal=mira, tank=cove, since=ago(400), until=ago(345))
    Stay.objects.create(animal=mira, tank=pond, since=ago(345))
    Stay.objects.create(animal=deneb, tank=pond, since=ago(340))
    return mira


@pytest.fixture
def made(monkeypatch):
    """How often all closed seasons were reckoned."""
    found = []
    reckon = lessons.closed_of
    monkeypatch.setattr(lessons, "closed_of", lambda facts: found.append(1) or reckon(facts))
    return found


def visit():
    with for_one_request(only_reads=True):
        kept = every_closed().seasons
    assert kept == closed_of(gather()).seasons
    return kept


DAILY = {
    "seen": lambda mira: see(mira, 1),
    "measured": lambda mira: add_measurement(mira, by=None, on=ago(1), disc_width_mm=400),
    "moved": lambda mira: move_animal(mira, Tank.objects.create(name="Bay"), on=ago(1), by=None),
    "moved again": lambda mira: [
        move_animal(mira, Tank.objects.create(name=name), on=ago(days), by=None)
        for name, days in (("Bay", 20), ("Pool", 4))
    ],
    "moved, and that put right": lambda mira: [
        move_animal(mira, Tank.objects.create(name="Bay"), on=ago(20), by=None),
        Stay.objects.filter(until=None, animal=mira).update(side="left", since=ago(21)),
    ],
    "paired": lambda mira: pair(mira, mira.pairings_as_female.first().male, 200, 190),
    "parted": lambda mira: Pairing.objects.filter(separated_on=None).update(separated_on=ago(1)),
    "parted, and that put right": lambda mira: [
        Pairing.objects.filter(separated_on=None).update(separated_on=on) for on in (ago(1), None)
    ],
    "nothing": lambda mira: None,
}


@pytest.mark.parametrize("act", DAILY)
def test_what_is_written_on_any_day_leaves_the_lessons_as_they_are(mira, made, act):
    mira.born_on, mira.born_precision = ago(2000), "day"
    mira.save()
    visit()
    visit()  # from now on it is known how far the tables had come
    DAILY[act](mira)
    visit()
    visit()
    assert len(made) == 1


def test_the_first_sighting_after_a_start_leaves_them_as_they_are(mira, made):
    visit()
    see(mira, 1)
    visit()
    see(mira, 1)
    visit()
    assert len(made) == 1


OTHERS = {
    "seen long ago": lambda mira: see(mira, 305),
    "a sighting withdrawn": lambda mira: withdraw(
        mira.sightings.get(), by=None, now=clock.now(), reason="of another"
    ),
    "a sighting changed": lambda mira: mira.sightings.update(
        seen_at=clock.now() - datetime.timedelta(days=312)
    ),
    "a sighting removed": lambda mira: mira.sightings.all().delete(),
    "measured long ago": lambda mira: Measurement.objects.create(
        animal=mira, on=ago(308), disc_width_mm=390
    ),
    "a measure of unknown age": lambda mira: Measurement.objects.create(
        animal=cast.male("Altair"), on=ago(1), disc_width_mm=100
    ),
    "another outcome": lambda mira: Outcome.objects.create(
        female=mira, on=ago(1), kind="not_pregnant"
    ),
    "a scan": lambda mira: record_scan(
        female=mira, on=ago(250), positive=True, today=clock.today(), by=None
    ),
    "a pairing": lambda mira: Pairing.objects.update(introduced_on=ago(340)),
    "a pairing of then withdrawn": lambda mira: Pairing.objects.filter(
        separated_on=ago(300)
    ).update(withdrawn_at=clock.now()),
    "a pairing of then ended later": lambda mira: Pairing.objects.filter(
        separated_on=ago(300)
    ).update(separated_on=ago(299)),
    "of then, with another": lambda mira: Pairing.objects.update(male=cast.male("Rigel")),
    "a pairing written down late": lambda mira: pair(mira, cast.male("Rigel"), 250, 240),
    "a stay of then removed": lambda mira: mira.stays.order_by("since")[0].delete(),
    "a stay of then withdrawn": lambda mira: mira.stays.update(withdrawn_at=clock.now()),
    "a stay of then ended sooner": lambda mira: mira.stays.filter(since=ago(400)).update(
        until=ago(350)
    ),
    "of then, on another side": lambda mira: mira.stays.update(side="left"),
    "of then, in another tank": lambda mira: mira.stays.update(
        tank=Tank.objects.create(name="Another")
    ),
    "a stay of then begun later": lambda mira: mira.stays.filter(since=ago(400)).update(
        since=ago(399)
    ),
    "a move": lambda mira: move_animal(mira, Tank.objects.create(name="Bay"), on=ago(320), by=None),
}


@pytest.mark.parametrize("act", OTHERS)
def test_whatever_may_change_them_has_them_reckoned_again(mira, made, act):
    visit()
    OTHERS[act](mira)
    visit()
    assert len(made) == 2
    visit()
    assert len(made) == 2


def test_who_writes_is_told_the_lessons_of_that_moment(mira, made):
    visit()
    visit()
    with transaction.atomic():
        see(mira, 1)
        assert every_closed().seasons == closed_of(gather()).seasons
        assert len(made) == 1
        see(mira, 305)
        assert every_closed().seasons == closed_of(gather()).seasons
        assert len(made) == 2
        transaction.set_rollback(True)
    visit()
    assert len(made) == 2
