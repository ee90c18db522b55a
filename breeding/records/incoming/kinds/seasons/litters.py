"""Litters: one row a birth, with how many pups it brought; young on record are taken into it."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext_lazy as _

from breeding.animals.growth.weights import weighed_before
from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import add_measurement, change_animal
from breeding.housing.models import Stay
from breeding.housing.stays.placing import place
from breeding.litters.births.facts import PupFacts
from breeding.litters.births.joining import DAYS_APART, without_litter
from breeding.litters.births.not_here import say_not_here
from breeding.litters.births.plain import (
    Birth,
    Draft,
    NotPlainError,
    Recorded,
    plain_births,
    record_plain,
)
from breeding.litters.models import Litter
from breeding.litters.services import record_birth
from breeding.program.problems.doubts import Doubt, ask
from breeding.program.problems.several import read_of
from breeding.records.incoming.kinds.kept import (
    ByItself,
    Kept,
    asked_in_turn,
    in_runs,
    without_frames,
)
from breeding.records.incoming.kinds.kind import NOTE, Facts, Keeping, Kind, animal, words
from breeding.records.incoming.kinds.seasons.descent import in_order_of_descent
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined

_LONG_AGO = datetime.timedelta(days=365)


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    """All together, but for those that are for an act of their own."""
    alone = ByItself(keep_birth, len(rows))
    with weighed_before():
        return [
            one
            for part in in_order_of_descent(rows, _young_named(rows))
            for one in _keep(part, keeping, _drafts(part, keeping), alone)
        ]


def _keep(
    rows: Sequence[Facts], keeping: Keeping, drafts: Mapping[int, Draft], alone: ByItself
) -> list[Kept]:
    return in_runs(
        rows,
        keeping,
        is_plain=lambda facts: id(facts) in drafts,
        key=id,
        together=lambda run, keeping: _together(run, keeping, drafts, alone),
        alone=alone,
    )


def _young_named(rows: Sequence[Facts]) -> list[tuple[Animal, ...]]:
    """Of each row the young on record, named or born to her about that day."""
    young_of = _young_without_litter({facts["dam"].pk for facts in rows})
    found = []
    for facts in rows:
        near = (one for one in young_of[facts["dam"].pk] if _is_near(one, facts["born_on"]))
        found.append(tuple(facts["young"] or near))
    return found


def _drafts(rows: Sequence[Facts], keeping: Keeping) -> dict[int, Draft]:
    """Of rows that can be written together: what is written of each."""
    every = read_of(Animal.every.all(), "pk", (facts["dam"].pk for facts in rows))
    dams = {one.pk: one for one in every}
    may_be: dict[int, Birth] = {}
    others = []
    for facts, young in zip(rows, _young_named(rows), strict=True):
        dam, born_on = dams[facts["dam"].pk], facts["born_on"]
        try:
            sizes, pups = _measured(facts, young, _further_pups(facts, young))
        except ValidationError:  # its own act says it
            others.append(Birth(dam, born_on, (), young=young))
            continue
        may_be[id(facts)] = Birth(
            dam,
            born_on,
            tuple(pups),
            sire=facts["sire"],
            premature=facts["premature"] == "yes",
            note=words(facts, "note"),
            young=young,
            sizes=tuple(sizes),
        )
    drafts = plain_births(list(may_be.values()), besides=others, today=keeping.today, by=keeping.by)
    return {key: one for key, one in zip(may_be, drafts, strict=True) if one is not None}


def _young_without_litter(dams: Collection[int]) -> dict[int, list[Animal]]:
    """Animals of these dams, born on a day that is known, that stand in no litter; by code."""
    young: dict[int, list[Animal]] = defaultdict(list)
    found = without_litter().filter(born_precision=Animal.Precision.DAY).order_by("code")
    for one in read_of(found, "dam", dams):
        if one.dam_id is not None:
            young[one.dam_id].append(one)
    return young


def _is_near(young: Animal, born_on: datetime.date) -> bool:
    return young.born_on is not None and abs((young.born_on - born_on).days) <= DAYS_APART


def _together(
    rows: Sequence[Facts], keeping: Keeping, drafts: Mapping[int, Draft], alone: ByItself
) -> list[Kept]:
    run = [id(facts) for facts in rows if drafts[id(facts)].refusal is None]
    try:
        recorded = _record([drafts[key] for key in run], keeping)
    except NotPlainError as others:
        not_plain = {run[at] for at in others.places}
        left = {key: draft for key, draft in drafts.items() if key not in not_plain}
        return _keep(rows, keeping, left, alone)
    except ValidationError:  # somebody else wrote meanwhile: each is told what is in its way
        return [alone(facts, keeping) for facts in rows]
    recorded_of = dict(zip(run, recorded, strict=True))
    found = []
    for facts in rows:
        draft, one = drafts[id(facts)], recorded_of.get(id(facts))
        birth, refusal = draft.birth, draft.refusal
        asked = [
            _doubts_of_order(facts, birth.pups),
            _doubts_of_long_ago(birth.dam, birth.born_on, len(draft.living), keeping),
            *(one.asked if one else ()),
        ]
        kept = Kept(one.litter if one else None, asked_in_turn(asked, keeping))
        kept.refusal = without_frames(refusal) if refusal is not None else None
        found.append(kept)
    return found


@transaction.atomic
def _record(drafts: Sequence[Draft], keeping: Keeping) -> list[Recorded]:
    recorded = record_plain(drafts, by=keeping.by)
    if keeping.usual_state != Animal.State.HERE:
        young = [pup.animal for draft in drafts for pup in draft.living if pup.animal is not None]
        say_not_here(young, keeping.usual_state)
    return recorded


def keep_birth(facts: Facts, keeping: Keeping) -> Any:
    """One birth, with what is on record of its young.

    They and the dam are read anew: a birth before may have changed them, and what an attempt has
    changed is rolled back on record alone.
    """
    born_on, named = facts["born_on"], [facts["dam"], *(facts["young"] or ())]
    now = Animal.every.in_bulk([one.pk for one in named])
    dam, *young = (now[one.pk] for one in named)
    young = young or _young_on_record(dam, born_on)
    pups = _further_pups(facts, young)
    sizes, pups = _measured(facts, young, pups)
    living = sum(pup.alive for pup in pups)
    state = keeping.usual_state
    ask(_doubts_of_order(facts, pups), keeping.sure)
    ask(_doubts_of_long_ago(dam, born_on, living, keeping), keeping.sure)
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


def _doubts_of_long_ago(
    dam: Animal, born_on: datetime.date, living: int, keeping: Keeping
) -> list[Doubt]:
    is_here = keeping.usual_state == Animal.State.HERE
    if not living or not is_here or keeping.today - born_on <= _LONG_AGO:
        return []
    words = tell_many(
        "{number} pup of {dam}, born {day}, of whom nothing else is on record, would be "
        "written down as here. If they are not, choose another state for them under “What the "
        "columns hold”.",
        "{number} pups of {dam}, born {day}, of whom nothing else is on record, would be "
        "written down as here. If they are not, choose another state for them under “What the "
        "columns hold”.",
        living,
        dam=dam.name,
        day=long_day(born_on),
    )
    return [Doubt(words, "alive")]


def _measured(
    facts: Facts, young: Sequence[Animal], pups: Sequence[PupFacts]
) -> tuple[list[dict[str, Any]], list[PupFacts]]:
    """The sizes of those on record, and the other pups with theirs, in the order of the cells.

    Raises ValidationError when they are not as many as the pups.
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
    each: list[dict[str, Any]] = [
        {field: sizes[at] for field, sizes in found.items()} for at in range(number)
    ]
    further = [replace(pup, **its) for pup, its in zip(pups, each[len(young) :], strict=True)]
    return each[: len(young)], further


def _doubts_of_order(facts: Facts, pups: Sequence[PupFacts]) -> list[Doubt]:
    """Where which pup is which rests on an order that nobody wrote down."""
    if not (facts["weights"] or facts["widths"]):
        return []
    if len({(pup.sex, pup.alive) for pup in pups}) < 2:
        return []
    words = tell(
        "The sizes of the pups of {dam}, born {day}, are taken in this order: the young on "
        "record, females, males, those whose sex nobody wrote down, then those born dead.",
        dam=facts["dam"].full_name,
        day=long_day(facts["born_on"]),
    )
    return [Doubt(words, "weights" if facts["weights"] else "widths")]


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
    _keep_all,
    lambda facts: facts["born_on"],
    takes=(
        *("litters.Litter.dam", "litters.Litter.born_on", "litters.Litter.note"),
        *("litters.Pup.weight_g", "litters.Pup.disc_width_mm"),
        *("litters.Pup.alive", "litters.Pup.sex", "litters.Pup.animal"),
        *("pairings.Outcome.female", "pairings.Outcome.on", "pairings.Outcome.kind"),
    ),
)
