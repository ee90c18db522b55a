"""Of many births those that nothing refuses are recorded together, as each would be alone."""

from typing import Any

import pytest

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.placing import place
from breeding.litters.births.facts import PupFacts
from breeding.litters.births.plain import Birth, plain_births, record_plain
from breeding.litters.models import Litter, Pup
from breeding.litters.services import record_birth
from breeding.pairings.models import Outcome
from tests import cast
from tests.cast import day

pytestmark = pytest.mark.django_db

TODAY = day("2026-06-20")
ALIVE, DEAD = PupFacts(sex="F"), PupFacts(alive=False)


@pytest.fixture
def mature(owner):
    her = cast.female("Adhara", born_on=day("2019-03-01"))
    place(her, Tank.objects.create(name="Tank 1", volume_litres=900), on=TODAY, by=owner)
    return her


def birth(dam: Animal, on: str, *pups: PupFacts) -> Birth:
    return Birth(dam, day(on), pups)


def are_plain(births: list[Birth], **more: Any) -> list[bool]:
    drafts = plain_births(births, today=TODAY, by=None, **more)
    return [one is not None and one.refusal is None for one in drafts]


def test_what_cannot_be_is_not_plain_and_what_is_asked_about_is(owner, mature):
    record_birth(dam=mature, born_on=day("2024-05-01"), pups=[DEAD], today=TODAY, by=owner)
    young = cast.female("Vega", born_on=day("2025-09-01"))
    births = [
        birth(mature, "2025-03-01", ALIVE),
        birth(mature, "2024-05-21", ALIVE),  # 20 days after one on record
        birth(mature, "2025-09-01", ALIVE),
        birth(mature, "2025-09-10", ALIVE),  # 9 days after the one before
        birth(mature, "2026-01-01"),  # nobody was born
        birth(mature, "2026-06-21", ALIVE),  # still to come
        birth(cast.male("Deneb"), "2025-03-01", ALIVE),
        birth(young, "2026-06-01", ALIVE),  # nine months old
        birth(mature, "2026-02-01", PupFacts(weight_g=85, disc_width_mm=90)),
        birth(mature, "2025-05-01", ALIVE, PupFacts(alive=False, weight_g=60, disc_width_mm=80)),
        birth(mature, "2025-06-01", ALIVE, PupFacts(born_on=day("2025-06-02"))),
    ]
    assert are_plain(births) == [True, *[False] * 6, True, True, True, False]
    [asked] = plain_births([births[7]], today=TODAY, by=None)
    assert [one.sentence for one in asked.asked] == [
        "Vega was 273 days old on 1 June 2026; by the figures of any other of the family "
        "a female is mature from 548 days on."
    ]
    assert are_plain(births[:1], besides=[birth(mature, "2025-03-10")]) == [False]
    one_size = [PupFacts(weight_g=85), PupFacts(alive=False, weight_g=60)]
    assert are_plain([birth(mature, "2026-02-01", *one_size)]) == [True]
    assert Litter.objects.count() == 1


def test_codes_places_and_outcomes_of_births_recorded_together(owner, mature):
    other = cast.female("Mira", born_on=day("2019-03-01"))
    births = [
        birth(mature, "2025-03-01", ALIVE, DEAD, ALIVE),
        birth(other, "2025-04-01", ALIVE),
        birth(mature, "2026-02-01", DEAD),
    ]
    litters = record_plain(plain_births(births, today=TODAY, by=owner), by=owner)
    assert [one.litter.code for one in litters] == ["25-01", "25-02", "26-01"]
    animals = Animal.objects.filter(dam__in=[mature, other]).order_by("code")
    assert [one.code for one in animals] == ["25-01-1", "25-01-3", "25-02-1"]
    assert [one.dam for one in animals] == [mature, mature, other]
    stays = Stay.objects.filter(animal__in=animals).order_by("animal__code")
    assert [(one.animal.code, one.since) for one in stays] == [
        ("25-01-1", TODAY),
        ("25-01-3", TODAY),
    ]
    assert list(Outcome.objects.order_by("pk").values_list("kind", flat=True)) == [
        "some_dead",
        "live_birth",
        "some_dead",
    ]
    assert Pup.objects.filter(alive=False, animal=None).count() == 2
