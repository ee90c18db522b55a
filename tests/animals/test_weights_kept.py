"""What the program's animals have taught is as reckoned from scratch, whatever is written."""

import random

import pytest
from django.db import transaction
from django.utils import timezone

from benchmarks.started import forget_everything
from breeding.animals.growth.reading import growth_of, measured_program
from breeding.animals.growth.weights import WeighedProgram
from breeding.animals.models import Animal, Measurement
from breeding.pairings.models import Outcome, Pairing
from breeding.program.frame.memory import for_one_request
from tests import cast
from tests.cast import ago, pair
from tests.tries import tries

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("nothing_kept")]


@pytest.fixture
def animals(owner):
    draw = random.Random(7)
    names = [(cast.female, name) for name in ("Mira", "Vega", "Lyra", "Spica")]
    names += [(cast.male, name) for name in ("Deneb", "Rigel")]
    found = [make(name, pure="motoro", born_on=ago(900)) for make, name in names]
    for one in found:
        for days in (600, 400, 200, 100):
            weigh(one, draw, days)
    pair(found[0], found[4], 300, 250)
    return found


def weigh(animal, draw, days):
    width = round(100 + 0.2 * (900 - days) + draw.randrange(12))
    grams = round(0.0586 * (width / 10) ** 2.93 * draw.uniform(0.9, 1.1))
    return Measurement.objects.create(
        animal=animal, on=ago(days), disc_width_mm=width, weight_g=draw.choice([grams, grams, None])
    )


def taught(animals):
    """The points, the days of carrying, the fits and everybody's growth."""
    known, program = WeighedProgram(), measured_program()
    known.learn_carrying(animals)
    found = [known.points, {key: set(known.carrying[key]) for key in known.carrying}]
    for one in animals:
        usual, of_kind, growth = known.usual_of(one), program.taught(one), growth_of(one)
        found += [usual and usual.fit, of_kind.others, of_kind.program and of_kind.program.middle]
        found.append(growth and growth.reaches(600))
    return found


def as_a_page_reads(animals):
    with for_one_request(only_reads=True):
        return taught(animals)


def as_an_act_reads(animals):
    with for_one_request(), transaction.atomic():
        return taught(animals)


@pytest.mark.parametrize("seed", range(tries(2)))
def test_after_any_acts_they_are_as_from_scratch(animals, seed):
    draw = random.Random(seed)

    def change():
        one = draw.choice(list(Measurement.every.all()))
        one.disc_width_mm, one.weight_g = draw.randrange(80, 300), draw.choice([None, 200, 400])
        one.save()

    def withdraw():
        one = draw.choice(list(Measurement.every.all()))
        one.withdrawn_at = None if one.is_withdrawn else timezone.now()
        one.save()

    def remove():
        draw.choice(list(Measurement.every.all())).delete()

    def separate():
        one = Pairing.objects.latest("pk")
        one.separated_on = draw.choice([None, ago(250), ago(120)])
        one.save()

    def end():
        Outcome.objects.create(female=animals[0], on=ago(draw.randrange(60)), kind="not_pregnant")

    def change_animal():
        one = Animal.objects.get(pk=animals[1].pk)
        one.born_on = ago(draw.randrange(700, 1000))
        one.save()

    def add():
        weigh(draw.choice(animals), draw, draw.randrange(90))

    acts = (*[add] * 6, change, withdraw, remove, separate, end, change_animal)
    for _ in range(12):
        draw.choice(acts)()
        known = [Animal.objects.get(pk=one.pk) for one in animals]
        kept = [read(known) for read in (as_an_act_reads, as_a_page_reads)]
        forget_everything()
        scratch = as_a_page_reads(known)
        assert kept == [scratch, scratch]
