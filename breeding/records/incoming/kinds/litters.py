"""Litters: one row a birth, with how many pups it brought; young on record are taken into it."""

import datetime
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import add_measurement, change_animal
from breeding.housing.models import Stay
from breeding.housing.services import place
from breeding.litters.births.facts import PupFacts
from breeding.litters.births.joining import DAYS_APART, without_litter
from breeding.litters.models import Litter
from breeding.litters.services import record_birth
from breeding.records.incoming.kinds.kept import one_by_one
from breeding.records.incoming.kinds.kind import NOTE, Facts, Keeping, Kind, animal, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined

_LONG_AGO = datetime.timedelta(days=365)


def _keep(facts: Facts, keeping: Keeping) -> Any:
    dam, born_on = facts["dam"], facts["born_on"]
    young = facts["young"] or _young_on_record(dam, born_on)
    pups = _further_pups(facts, young)
    sizes, pups = _measured(facts, young, pups, keeping)
    living = sum(pup.alive for pup in pups)
    state = keeping.usual_state
    keeping.ask_when(
        living > 0 and state == Animal.State.HERE and keeping.today - born_on > _LONG_AGO,
        tell_many(
            "{number} pup of {dam}, born {day}, of whom nothing else is on record, would be "
            "written down as here. If they are not, choose another state for them under “What the "
            "columns hold”.",
            "{number} pups of {dam}, born {day}, of whom nothing else is on record, would be "
            "written down as here. If they are not, choose another state for them under “What the "
            "columns hold”.",
            living,
            dam=dam.name,
            day=long_day(born_on),
        ),
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
    for one, its in zip(young, sizes, strict=True):
        if any(its.values()):
            add_measurement(one, by=keeping.by, on=born_on, sure=keeping.sure, **its)
    if state != Animal.State.HERE:
        _not_here(litter, state, keeping)
    return litter


def _measured(
    facts: Facts, young: Sequence[Animal], pups: Sequence[PupFacts], keeping: Keeping
) -> tuple[list[dict[str, Any]], list[PupFacts]]:
    """The sizes of those on record, and the other pups with theirs, in the order of the cells.

    Raises ValidationError when they are not as many as the pups, and DoubtError where which pup
    is which rests on an order that nobody wrote down.
    """
    number = len(young) + len(pups)
    living = len(young) + sum(pup.alive for pup in pups)
    found = {
        field: _as_many(facts, name, field, number, living)
        for name, field in (("weights", "weight_g"), ("widths", "disc_width_mm"))
        if facts[name]
    }
    if not found:
        return [{} for _ in young], list(pups)
    kinds = {(pup.sex, pup.alive) for pup in pups}
    keeping.ask_when(
        len(kinds) > 1,
        tell(
            "The sizes of the pups of {dam}, born {day}, are taken in this order: the young on "
            "record, females, males, those whose sex nobody wrote down, then those born dead.",
            dam=facts["dam"].full_name,
            day=long_day(facts["born_on"]),
        ),
        "weights" if facts["weights"] else "widths",
    )
    each: list[dict[str, Any]] = [
        {field: sizes[at] for field, sizes in found.items()} for at in range(number)
    ]
    further = [replace(pup, **its) for pup, its in zip(pups, each[len(young) :], strict=True)]
    return each[: len(young)], further


def _as_many(facts: Facts, name: str, field: str, number: int, living: int) -> list[int | None]:
    """One size a pup, or one a pup born alive; those born dead then have none."""
    sizes = list(facts[name])
    if len(sizes) not in (number, living):
        given = (
            tell_many("{number} weight", "{number} weights", len(sizes))
            if name == "weights"
            else tell_many("{number} width", "{number} widths", len(sizes))
        )
        wanted = joined([str(one) for one in dict.fromkeys((living, number))], "or")
        words = tell(
            "{sizes} for {wanted} pups; write one for each pup born alive, or for each of all, and "
            "? for one that nobody measured.",
            sizes=given,
            wanted=wanted,
        )
        raise ValidationError({name: words})
    return sizes + [None] * (number - len(sizes))


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
                "alive": tell(
                    "{pups} born alive, but {animals} of {dam} are on record from then: {names}.",
                    pups=tell_many("{number} pup", "{number} pups", alive),
                    animals=tell_many("{number} animal", "{number} animals", len(young)),
                    dam=facts["dam"].name,
                    names=names,
                )
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
    _("birth"),
    _("births"),
    lambda number: tell_many("{number} birth", "{number} births", number),
    (
        animal("dam", "mother", "female", "mum", "mom", "mutter", label=_("Dam"), key="dam"),
        Meaning(
            "sire", _("Sire"), ("sire", "father", "male", "dad", "vater"), _("as above"), "animal"
        ),
        Meaning(
            "born_on",
            _("Born on"),
            ("born", "born on", "birth", "date", "date of birth", "dob", "on", "geboren"),
            _("a full date"),
            "day",
            is_needed=True,
        ),
        Meaning("alive", _("Born alive"), ("alive", "born alive", "live", "living"), "", "count"),
        Meaning("dead", _("Born dead"), ("dead", "stillborn", "born dead", "died"), "", "count"),
        Meaning(
            "pups",
            _("Pups in all"),
            ("pups", "number", "litter size", "size", "young born", "total", "anzahl"),
            _("a number"),
            "count",
        ),
        Meaning("females", _("Females"), ("females", "f", "girls", "weibchen"), "", "count"),
        Meaning("males", _("Males"), ("males", "m", "boys", "männchen"), "", "count"),
        Meaning(
            "young",
            _("Young on record"),
            ("young", "offspring", "codes", "pup codes", "kids"),
            _("codes, with commas between"),
            "animals",
        ),
        Meaning(
            "weights",
            _("Weights of the pups"),
            ("weights", "pup weights", "birth weights", "weight", "birth weight", "gewichte"),
            _("one for each pup, as 85; 90; ?"),
            "weights",
        ),
        Meaning(
            "widths",
            _("Widths of the pups"),
            ("widths", "pup widths", "birth widths", "disc widths", "disc width", "width"),
            _("one for each pup, as 10.5; 11; ?"),
            "lengths",
        ),
        Meaning("premature", _("Too early"), ("premature", "too early"), _("yes or no"), "yes_no"),
        NOTE,
    ),
    one_by_one(_keep),
    lambda facts: facts["born_on"],
    takes=(
        *("litters.Litter.dam", "litters.Litter.born_on", "litters.Litter.note"),
        *("litters.Pup.weight_g", "litters.Pup.disc_width_mm"),
        *("litters.Pup.alive", "litters.Pup.sex", "litters.Pup.animal"),
        *("pairings.Outcome.female", "pairings.Outcome.on", "pairings.Outcome.kind"),
    ),
)
