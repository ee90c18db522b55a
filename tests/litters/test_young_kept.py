"""The young litters of the day, and the wishes they fit, are kept and are never old ones."""

import datetime
import random
from decimal import Decimal

import pytest

from benchmarks.started import forget_everything
from breeding.agenda.gathered import Gathered
from breeding.animals.models import Animal, Measurement
from breeding.buyers.models import Contact, Reservation, Wish
from breeding.feeding.models import Feeding, Meal
from breeding.health.models import Observation, Quarantine, Treatment
from breeding.housing.models import Stay, Tank, WaterTest
from breeding.litters import queries
from breeding.litters.models import Litter, Pup
from breeding.pairings.models import Outcome
from breeding.program import clock
from breeding.program.frame.memory import for_one_request
from breeding.program.queries import the_program
from tests import cast
from tests.cast import ago, see
from tests.tries import tries

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("nothing_kept")]


@pytest.fixture
def tanks(owner):
    """Two litters of two pups in tanks of their own, all of which may leave, and a wish."""
    cast.the_program()
    made = [
        Tank.objects.create(name="Pool"),
        Tank.objects.create(name="Bay"),
        Tank.objects.create(name="Apart", kind=Tank.Kind.QUARANTINE),
    ]
    for number, tank in enumerate(made[:2]):
        dam = cast.female(f"Dam {number}", pure="motoro", born_on=ago(2000), born_precision="day")
        birth = Outcome.objects.create(female=dam, on=ago(200), kind="live_birth")
        litter = Litter.objects.create(
            code=f"25-{number}", dam=dam, born_on=ago(200), outcome=birth
        )
        Stay.objects.create(animal=dam, tank=tank, since=ago(400))
        for place in (1, 2):
            born = {"born_on": ago(200), "born_precision": "day", "origin": "here"}
            pup = cast.ray(f"Pup {number}{place}", "F", dam=dam, **born)
            Pup.objects.create(litter=litter, number=place, sex="F", animal=pup)
            Measurement.objects.create(animal=pup, on=ago(10), disc_width_mm=200, weight_g=300)
            Stay.objects.create(animal=pup, tank=tank, since=ago(200))
            fed(pup, 100)
    Wish.objects.create(contact=Contact.objects.create(name="Somebody"), wished_on=ago(30), sex="F")
    return made


def fed(animal, days, took="all"):
    at = clock.now() - datetime.timedelta(days=days)
    Meal.objects.create(
        feeding=Feeding.objects.create(fed_at=at), animal=animal, fed_at=at, took=took
    )


def move(animal, tank):
    Stay.objects.filter(animal=animal, until=None).update(until=ago(0))
    Stay.objects.create(animal=animal, tank=tank, since=ago(0))


def water_read(tank, nitrite):
    WaterTest.objects.create(tank=tank, tested_at=clock.now(), nitrite_mg_l=Decimal(nitrite))


def told():
    with for_one_request(only_reads=True):
        gathered = Gathered(the_program(), ago(0))
        litters = [
            (litter.code, litter.dam.name, [_all_of(one) for one in pups])
            for litter, pups in gathered.litters
        ]
        openings = [
            (one.wish.pk, str(one.wish.contact), [fit.animal.name for fit in one.fitting])
            for one in gathered.openings
        ]
    return litters, openings


def _all_of(one):
    animal = one.pup.animal
    measured = [(row.on, row.disc_width_mm, row.weight_g) for row in one.measured]
    words = (one.lacks, one.unwell, one.standing, one.looked_on, one.disc_width_mm, one.is_better)
    return (one.pup.pk, animal.name, animal.state, measured, *words)


@pytest.fixture
def read(monkeypatch):
    """Of which litters the pups were read, each time."""
    found = []
    young = queries._young

    def told_young(keys, asof):
        found.append(sorted(Litter.objects.filter(pk__in=keys).values_list("code", flat=True)))
        return young(keys, asof)

    monkeypatch.setattr(queries, "_young", told_young)
    return found


def test_only_the_litter_is_read_again_of_which_something_was_written(tanks, read):
    pool, bay, apart = tanks
    pup, dam = Animal.objects.get(call_name="Pup 01"), Animal.objects.get(call_name="Dam 1")
    assert told() == told()
    assert read == [["25-0", "25-1"]]
    for act in (
        lambda: move(pup, bay),
        lambda: fed(pup, 0),
        lambda: see(pup, 0, "fresh_bite_marks", severity=3),
        lambda: Measurement.objects.create(animal=pup, on=ago(0), disc_width_mm=210),
        lambda: Stay.objects.filter(animal=pup, tank=bay).update(tank=pool),
        lambda: water_read(pool, "9"),
    ):
        read.clear()
        act()
        before = told()
        assert read == [["25-0"]]
        forget_everything()
        assert told() == before
    read.clear()
    for act in (
        lambda: move(dam, pool),
        lambda: fed(dam, 0),
        lambda: see(dam, 0),
        lambda: Measurement.objects.create(animal=dam, on=ago(0), disc_width_mm=500),
        lambda: water_read(apart, "9"),
        lambda: move(dam, bay),
    ):
        act()
        told()
    assert read == []


def test_one_that_comes_to_a_pup_in_quarantine_begins_its_days_again(tanks):
    _, _, apart = tanks
    pup, dam = Animal.objects.get(call_name="Pup 01"), Animal.objects.get(call_name="Dam 1")
    Stay.objects.filter(animal=pup).update(until=ago(20))
    Stay.objects.create(animal=pup, tank=apart, since=ago(20))
    before = told()
    move(dam, apart)
    after = told()
    assert after != before
    forget_everything()
    assert told() == after


def test_an_opening_is_told_again_once_a_pup_is_moved_into_water_that_is_not_fit(tanks):
    _, bay, _ = tanks
    water_read(bay, "9")
    assert [names for *_, names in told()[1]] == [["Pup 01", "Pup 02"]]
    move(Animal.objects.get(call_name="Pup 01"), bay)
    assert [names for *_, names in told()[1]] == [["Pup 02"]]
    water_read(bay, "0")
    assert [names for *_, names in told()[1]] == [["Pup 01", "Pup 02", "Pup 11", "Pup 12"]]


@pytest.mark.parametrize("seed", range(tries(8)))
def test_no_kept_litter_and_no_opening_is_an_old_one_whatever_is_written(tanks, seed):
    draw = random.Random(seed)
    animals = list(Animal.objects.all())
    told()
    for _ in range(14):
        _write(draw, draw.choice(animals), draw.choice(tanks))
        kept = told()
        assert kept == told()
        forget_everything()
        assert kept == told()


def _write(draw, animal, tank):
    last = Stay.objects.filter(animal=animal).order_by("since", "pk").last()
    own = Stay.objects.filter(pk=last.pk if last else None)
    acts = {
        "moved": lambda: move(animal, tank),
        "moved again": lambda: move(animal, tank),
        "another tank": lambda: own.update(tank=tank),
        "sooner": lambda: own.update(since=ago(draw.choice([3, 40]))),
        "out": lambda: own.update(until=ago(0)),
        "not moved": lambda: own.update(withdrawn_at=clock.now()),
        "water": lambda: water_read(tank, draw.choice(["0", "9"])),
        "no test": lambda: WaterTest.objects.filter(tank=tank).delete(),
        "fed": lambda: fed(animal, draw.choice([0, 3]), draw.choice(["all", "none"])),
        "round withdrawn": lambda: Feeding.objects.update(withdrawn_at=clock.now()),
        "bitten": lambda: see(animal, 0, "fresh_bite_marks", severity=draw.choice([0, 3])),
        "measured": lambda: Measurement.objects.create(
            animal=animal, on=ago(0), disc_width_mm=draw.choice([90, 220]), weight_g=200
        ),
        "ill": lambda: Observation.objects.create(animal=animal, kind="parasite", since=ago(1)),
        "by word": lambda: Quarantine.objects.create(animal=animal, since=ago(2)),
        "treated": lambda: Treatment.objects.create(
            tank=tank, remedy="salt", against="worms", since=ago(2)
        ),
        "dead": lambda: Animal.objects.filter(pk=animal.pk).update(state="died", state_on=ago(0)),
        "renamed": lambda: Tank.objects.filter(pk=tank.pk).update(name=f"{tank.name} 2"),
        "wished": lambda: Wish.objects.create(
            contact=Contact.objects.first(), wished_on=ago(draw.choice([10, 50])), sex="F"
        ),
        "reserved": lambda: Reservation.objects.create(
            animal=animal, contact=Contact.objects.create(name="Another"), reserved_on=ago(0)
        ),
        "no pup": lambda: Pup.objects.filter(animal=animal).update(withdrawn_at=clock.now()),
    }
    acts[draw.choice(sorted(acts))]()
