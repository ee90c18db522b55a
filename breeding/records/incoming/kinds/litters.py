"""Litters: one row a birth, with how many pups it brought; young on record are taken into it."""

import datetime
from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError

from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import change_animal
from breeding.housing.models import Stay
from breeding.housing.services import place
from breeding.litters.births.facts import PupFacts
from breeding.litters.births.joining import DAYS_APART, without_litter
from breeding.litters.models import Litter
from breeding.litters.services import record_birth
from breeding.records.incoming.kinds.kind import NOTE, Facts, Keeping, Kind, animal, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import long_day
from breeding.words.numbers import counted, joined

_LONG_AGO = datetime.timedelta(days=365)


def _keep(facts: Facts, keeping: Keeping) -> Any:
    dam, born_on = facts["dam"], facts["born_on"]
    young = facts["young"] or _young_on_record(dam, born_on)
    pups = _further_pups(facts, young)
    living = sum(pup.alive for pup in pups)
    state = keeping.usual_state
    keeping.ask_when(
        living > 0 and state == Animal.State.HERE and keeping.today - born_on > _LONG_AGO,
        f"{counted(living, 'pup')} of {dam.name}, born {long_day(born_on)}, of whom nothing else "
        "is on record, would be written down as here. If they are not, choose another state for "
        "them under “What the columns hold”.",
        "alive",
    )
    litter = record_birth(
        dam=dam,
        born_on=born_on,
        pups=pups,
        young=young,
        parents=Parents(facts["sire"], dam),
        keep_their_sires=facts["sire"] is None,
        premature=facts["premature"] == "yes",
        note=words(facts, "note"),
        today=keeping.today,
        by=keeping.by,
        sure=keeping.sure,
    )
    if state != Animal.State.HERE:
        _not_here(litter, state, keeping)
    return litter


def _young_on_record(dam: Animal, born_on: datetime.date) -> list[Animal]:
    """Animals of hers born that day, or within two days of it, that stand in no litter."""
    near = datetime.timedelta(days=DAYS_APART)
    found = without_litter().filter(dam=dam, born_on__range=(born_on - near, born_on + near))
    return list(found.filter(born_precision=Animal.Precision.DAY).order_by("code"))


def _further_pups(facts: Facts, young: Sequence[Animal]) -> list[PupFacts]:
    """The pups beside those on record. Raises ValidationError when more are on record than born."""
    dead = facts["dead"] or 0
    sexes = {Animal.Sex.FEMALE: facts["females"], Animal.Sex.MALE: facts["males"]}
    said = sum(number or 0 for number in sexes.values())
    alive = facts["alive"]
    if alive is None:
        alive = max(said, facts["pups"] - dead if facts["pups"] is not None else len(young))
    if alive < len(young):
        names = joined([one.name for one in young])
        raise ValidationError(
            {
                "alive": f"{counted(alive, 'pup')} born alive, but {counted(len(young), 'animal')} "
                f"of {facts['dam'].name} are on record from then: {names}."
            }
        )
    known = [one.sex for one in young]
    further: list[PupFacts] = []
    for sex, number in sexes.items():
        further += [PupFacts(sex=sex)] * max(0, (number or 0) - known.count(sex))
    further = further[: alive - len(young)]
    further += [PupFacts()] * (alive - len(young) - len(further))
    return further + [PupFacts(alive=False)] * dead


def _not_here(litter: Litter, state: str, keeping: Keeping) -> None:
    """Pups that came in with a birth of long ago are not with their dam now."""
    for pup in litter.pups.filter(alive=True, is_joined=False).select_related("animal"):
        one = pup.animal
        if one is None:
            continue
        stay = Stay.objects.filter(animal=one, until__isnull=True).first()
        if stay is not None:
            place(one, None, on=stay.since, by=keeping.by)
        change_animal(one, state=state, state_on=None)


LITTERS = Kind(
    "litters",
    "birth",
    "births",
    (
        animal("dam", "mother", "female", "mum", "mom", "mutter", label="Dam", key="dam"),
        Meaning("sire", "Sire", ("sire", "father", "male", "dad", "vater"), "as above", "animal"),
        Meaning(
            "born_on",
            "Born on",
            ("born", "born on", "birth", "date", "date of birth", "dob", "on", "geboren"),
            "a full date",
            "day",
            is_needed=True,
        ),
        Meaning("alive", "Born alive", ("alive", "born alive", "live", "living"), "", "count"),
        Meaning("dead", "Born dead", ("dead", "stillborn", "born dead", "died"), "", "count"),
        Meaning(
            "pups",
            "Pups in all",
            ("pups", "number", "litter size", "size", "young born", "total", "anzahl"),
            "a number",
            "count",
        ),
        Meaning("females", "Females", ("females", "f", "girls", "weibchen"), "", "count"),
        Meaning("males", "Males", ("males", "m", "boys", "männchen"), "", "count"),
        Meaning(
            "young",
            "Young on record",
            ("young", "offspring", "codes", "pup codes", "kids"),
            "codes, with commas between",
            "animals",
        ),
        Meaning("premature", "Too early", ("premature", "too early"), "yes or no", "yes_no"),
        NOTE,
    ),
    _keep,
    lambda facts: facts["born_on"],
    takes=(
        *("litters.Litter.dam", "litters.Litter.born_on", "litters.Litter.note"),
        *("litters.Pup.alive", "litters.Pup.sex", "litters.Pup.animal"),
        *("pairings.Outcome.female", "pairings.Outcome.on", "pairings.Outcome.kind"),
    ),
)
