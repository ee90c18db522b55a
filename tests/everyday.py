"""One of everything that is written down from day to day: food, health, water, arrivals."""

import datetime
from fractions import Fraction

from django.utils import timezone

from breeding.agenda.models import Reminder
from breeding.animals.models import Animal, AssumedKin
from breeding.arrivals.models import Arrival, LoanAgreement, YoungGiven
from breeding.buyers.models import Contact
from breeding.feeding.models import Feeding, Food
from breeding.health.models import Death, Observation, Quarantine, Treatment, Visit
from breeding.housing.models import Tank, TankRhythm, TankWork, WaterChange, WaterSource
from breeding.litters.models import Verdict
from breeding.program.models import Person
from breeding.traits.models import Trait, TraitLook
from tests import cast


def everyday(pup: Animal, grown: Animal, tank: Tank, by: Person) -> None:
    """A row of each, all over and done with, so that nothing of it stands on the day."""
    on = timezone.localdate() - datetime.timedelta(days=60)
    at = timezone.now() - datetime.timedelta(days=60)
    _food(pup, tank, at, by)
    _health(pup, tank, on, by)
    source = WaterSource.objects.create(name="Rain", ph=7, tested_on=on, recorded_by=by)
    WaterChange.objects.create(tank=tank, changed_at=at, percent=30, source=source, recorded_by=by)
    TankWork.objects.create(tank=tank, kind="filter", on=on, recorded_by=by)
    TankRhythm.objects.create(tank=tank, what="filter", every_days=365)
    Verdict.objects.create(animal=pup, decision="open", on=on, recorded_by=by)
    Reminder.objects.create(text="Order worms", on=on, done_on=on, recorded_by=by)
    seller = Contact.objects.create(name="Ulla", recorded_by=by)
    Arrival.objects.create(animal=grown, on=on, contact=seller, recorded_by=by)
    loan = LoanAgreement.objects.create(
        animal=grown, direction="out", since=on, back_on=on, recorded_by=by
    )
    YoungGiven.objects.create(agreement=loan, animal=pup, on=on, recorded_by=by)
    lace = Trait.objects.create(
        name="Lace", inheritance="recessive", founder_share=Fraction(1, 20), recorded_by=by
    )
    TraitLook.objects.create(trait=lace, animal=pup, what="not", on=on, recorded_by=by)
    vega = Animal.objects.get(call_name="Vega")
    one, other = sorted((vega, grown), key=lambda animal: animal.pk)
    AssumedKin.objects.create(one=one, other=other, degree="unknown", recorded_by=by)


def _food(pup: Animal, tank: Tank, at: datetime.datetime, by: Person) -> None:
    worms = Food.objects.create(name="Tank worms", recorded_by=by)
    round_ = Feeding.objects.create(food=worms, fed_at=at, tank=tank, recorded_by=by)
    round_.meals.create(animal=pup, took="all")


def _health(pup: Animal, tank: Tank, on: datetime.date, by: Person) -> None:
    dead = cast.male("Kochab")
    dead.state, dead.state_on = Animal.State.DIED, on
    dead.save()
    Death.objects.create(animal=dead, cause="age", recorded_by=by)
    Observation.objects.create(animal=pup, kind="pale", since=on, over_on=on, recorded_by=by)
    Treatment.objects.create(tank=tank, remedy="Salt", since=on, until=on, recorded_by=by)
    Visit.objects.create(animal=pup, on=on, by="Dr. Alder", recorded_by=by)
    Quarantine.objects.create(animal=pup, since=on, ended_on=on, result="clear", recorded_by=by)
