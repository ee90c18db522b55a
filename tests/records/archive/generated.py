"""Programs drawn by chance and written through the services: refused acts are left out."""

from django.core.exceptions import ValidationError
from django.db import transaction
from hypothesis import strategies as some

from breeding.animals.parents.parentage import Parents
from breeding.animals.services import add_measurement, register_animal
from breeding.buyers.services import add_contact
from breeding.housing.models import Tank
from breeding.housing.services import move_animal, save_tank
from breeding.litters.services import PupFacts, record_birth
from breeding.program import clock
from tests import cast
from tests.records.archive.test_cells import TEXTS

ACTS = ("animal", "animal", "tank", "move", "pair", "see", "birth", "measure", "contact")


def live(data) -> None:
    """Thirty acts at random, each with animals, tanks, days and words at random."""
    cast.the_program()
    made = {"animals": [cast.female(), cast.male()], "tanks": []}
    for act in data.draw(some.lists(some.sampled_from(ACTS), min_size=30, max_size=30)):
        try:
            with transaction.atomic():
                _do(act, data.draw, made)
        except ValidationError:
            continue


def _do(act: str, draw, made) -> None:
    words = draw(TEXTS)[:40].strip() or "Mira"
    on = cast.ago(draw(some.integers(0, 900)))
    one, other = (draw(some.sampled_from(made["animals"])) for _ in range(2))
    if act == "animal":
        sex = draw(some.sampled_from("FMU"))
        parents = Parents(sire=other, dam=one) if draw(some.booleans()) else Parents()
        born = {"born_on": on, "born_precision": "day"} if draw(some.booleans()) else {}
        made["animals"].append(
            register_animal(by=None, call_name=words, note=words, sex=sex, parents=parents, **born)
        )
    elif act == "tank":
        made["tanks"].append(save_tank(Tank(name=words, can_divide=True), by=None))
    elif act == "move" and made["tanks"]:
        tank = draw(some.sampled_from(made["tanks"]))
        move_animal(one, tank, on=on, by=None, sure=cast.SURE)
    elif act == "pair":
        cast.pair(one, other, str(on), note=words, reason="both are of the old line")
    elif act == "see":
        cast.see(one, on, note=words)
    elif act == "birth":
        pups = [PupFacts(disc_width_mm=90), PupFacts(alive=False)]
        litter = record_birth(dam=one, born_on=on, pups=pups, today=clock.today(), by=None)
        made["animals"] += [pup.animal for pup in litter.pups.exclude(animal=None)]
    elif act == "measure":
        width = draw(some.integers(80, 600))
        add_measurement(one, by=None, on=on, disc_width_mm=width, note=words, sure=cast.SURE)
    elif act == "contact":
        add_contact(by=None, name=words, wish=words)
