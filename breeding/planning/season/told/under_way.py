"""What of the season is settled already: litters under way, pairs together, pairings planned."""

import datetime
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from django.utils.text import capfirst

from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.animals.parents.unknown import possible_among
from breeding.planning.crosses import could_be_said, mixed_said
from breeding.planning.models import PlannedPairing
from breeding.planning.season.plan import asked_for
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.reasons import Line
from breeding.planning.season.told.carrying import due_by, sire_keys
from breeding.planning.season.wishes import Wishes
from breeding.words.days import short_day
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined, percent
from pedigree.rows import Floats

Date = datetime.date
MOST_JUDGED = 60  # females with a male now of whom it is said what stands against that


@dataclass(frozen=True)
class Settled:
    """One female with a litter or a pairing of this season. words: follows her name. helps: which
    line nearly lost it carries on; also: what else is to be said, a sentence each. planned: the
    record, where it only waits. born_on: about when a litter is to be expected."""

    female: Candidate
    words: str
    helps: str = ""
    also: tuple[str, ...] = ()
    planned: PlannedPairing | None = None
    to_change: bool = False
    born_on: Date | None = None
    males: tuple[int, ...] = ()  # who may be the sire

    @property
    def is_told_first(self) -> bool:
        """Whether it is said before those that take their course."""
        return bool(self.helps or self.planned)


@dataclass(frozen=True)
class UnderWay:
    """carrying: probably with a litter; together: with a male now; planned: waits for its day."""

    carrying: tuple[Settled, ...] = ()
    together: tuple[Settled, ...] = ()
    planned: tuple[Settled, ...] = ()

    @property
    def told_first(self) -> tuple[Settled, ...]:
        return tuple(one for one in self.everybody if one.is_told_first)

    @property
    def others(self) -> tuple[Settled, ...]:
        return tuple(one for one in self.everybody if not one.is_told_first)

    @property
    def words(self) -> str:
        """How many of each: "6 litters, 3 pairs together, 2 pairings planned"."""
        parts = [
            tell_many("{number} litter", "{number} litters", len(self.carrying))
            if self.carrying
            else "",
            tell_many("{number} pair together", "{number} pairs together", len(self.together))
            if self.together
            else "",
            tell_many("{number} pairing planned", "{number} pairings planned", len(self.planned))
            if self.planned
            else "",
        ]
        return joined([one for one in parts if one])

    @property
    def everybody(self) -> tuple[Settled, ...]:
        return (*self.carrying, *self.together, *self.planned)


@dataclass(frozen=True)
class Known:
    """What is asked of the program for it. names: of founders whose line is nearly lost."""

    lineage: Lineage
    lines: Mapping[int, Line]
    names: Mapping[int, str]
    wishes: Wishes
    today: Date


def under_way(
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    waiting: Collection[PlannedPairing],
    known: Known,
) -> UnderWay:
    """females, males: all that could be mated. Reads nothing but what it is given."""
    carrying, together = [], []
    judged = [one for one in females if one.mates and not one.carries][:MOST_JUDGED]
    mates = {one.animal.pk: _mates(one) for one in judged}
    kin = _Kin.among(known, [key for pk, his in mates.items() for key in (pk, *his)])
    by_key = {one.animal.pk: one for one in (*females, *males)}
    for one in females:
        if one.carries:
            season = one.season
            sires = tuple(sire_keys(season)) if season else ()
            born = season.estimate.due if season else None
            still = tell("{animal} is still with {names}.", **_with(one)) if one.mates else ""
            carrying.append(
                Settled(
                    one,
                    one.carries,
                    _helps((one.animal.pk, *sires), known),
                    also=(still,) if still else (),
                    born_on=born.p50 if born else due_by(season) if season else None,
                    males=sires,
                )
            )
        elif one.mates:
            words = tell("is with {names} now", names=joined(list(one.mates)))
            said = (one.to_settle,) if one.to_settle else ()
            also = tuple(
                tell("{animal} {reason}.", animal=one.animal.name, reason=part) for part in said
            )
            for pk, male in mates.get(one.animal.pk, {}).items():
                also += tuple(_of_mate(one, male, by_key.get(pk), known, kin))
            together.append(Settled(one, words, also=also, males=tuple(_mates(one))))
    return UnderWay(
        tuple(carrying), tuple(together), tuple(planned_of(waiting, by_key, males, known))
    )


def planned_of(
    waiting: Collection[PlannedPairing],
    found: Mapping[int, Candidate],
    males: Sequence[Candidate],
    known: Known,
) -> list[Settled]:
    """Pairings that are planned, each with what is to be said of it; of females in `found` only.

    males: whom she could have instead, where F is over the limit.
    """
    planned = [plan for plan in waiting if plan.female_id in found]
    kin = _Kin.among(known, [key for one in planned for key in (one.female_id, one.male_id)])
    return [_planned(found[plan.female_id], plan, found, males, known, kin) for plan in planned]


def _mates(one: Candidate) -> dict[int, Animal]:
    """The males she is with now, by their key."""
    return {stretch.male.pk: stretch.male for stretch in one.season.with_now} if one.season else {}


@dataclass(frozen=True)
class _Kin:
    """Kinship among these: as it is on record, and as it could be. Two tables, for all at once."""

    places: Mapping[int, int]
    on_record: Floats
    possible: Floats

    @classmethod
    def among(cls, known: Known, keys: Iterable[int]) -> "_Kin":
        found = list(dict.fromkeys(keys))
        if not found:
            return cls({}, np.zeros((0, 0)), np.zeros((0, 0)))
        places = {key: at for at, key in enumerate(found)}
        on_record = known.lineage.pedigree.kinship_matrix(found)
        return cls(places, on_record, possible_among(known.lineage, found))

    def of(self, one: int, other: int) -> tuple[float, float]:
        """F of young of two on record, and what it could be."""
        at = self.places[one], self.places[other]
        return float(self.on_record[at]), float(self.possible[at])


def _with(one: Candidate) -> dict[str, str]:
    return {"animal": one.animal.name, "names": joined(list(one.mates))}


def _of_mate(
    one: Candidate, male: Animal, his: Candidate | None, known: Known, kin: _Kin
) -> Iterator[str]:
    """Of two that are together: where their tanks say otherwise, and young that are too close."""
    if his is not None and one.place and his.place and one.place != his.place:
        yield tell(
            "But their tanks say that they are apart: {female} is in {hers}, {male} in {his}. Put "
            "this right first.",
            female=one.animal.name,
            hers=one.place,
            male=male.name,
            his=his.place,
        )
    inbreeding, could_be = kin.of(one.animal.pk, male.pk)
    if known.wishes.is_too_close(inbreeding):
        yield tell(
            "Young of {male} have F {inbreeding}: your limit is F {limit}.",
            male=male.name,
            inbreeding=percent(inbreeding),
            limit=known.wishes.limit_words,
        )
    if said := could_be_said(male, inbreeding, could_be):
        yield said


def _mixed(female: Candidate, plan: PlannedPairing, known: Known) -> str:
    """That their young are hybrids, or may be."""
    said = mixed_said(female.animal, plan.male, known.lineage.shares)
    return f"{capfirst(said)}." if said else ""


def _helps(keys: Sequence[int], known: Known) -> str:
    found = [known.lines[key] for key in keys if key in known.lines]
    if not found:
        return ""
    line = min(found, key=lambda one: one.carriers)
    return tell("This litter carries on the line of {founder}.", founder=known.names[line.founder])


def _planned(
    female: Candidate,
    plan: PlannedPairing,
    by_key: Mapping[int, Candidate],
    males: Sequence[Candidate],
    known: Known,
    kin: _Kin,
) -> Settled:
    inbreeding, could_be = kin.of(plan.female_id, plan.male_id)
    values = {
        "male": plan.male.name,
        "day": short_day(plan.not_before, known.today),
        "inbreeding": percent(inbreeding),
    }
    limit = known.wishes.limit_words
    is_over = known.wishes.is_too_close(inbreeding)
    beyond = _mixed(female, plan, known), could_be_said(plan.male, inbreeding, could_be)
    also = [said for said in beyond if said]
    male = by_key.get(plan.male_id)
    for one in (female, *([male] if male else [])):
        also += [
            tell("{animal} {reason}.", animal=one.animal.name, reason=part) for part in one.against
        ]
    if is_over:
        words = tell(
            "with {male} from {day}, F {inbreeding}: your limit is F {limit}",
            limit=limit,
            **values,
        )
        if plan.reason:
            also.append(tell("Your reason for it: “{reason}”.", reason=plan.reason.rstrip(".")))
        if other := _other_male(female, males, known, plan.male_id):
            also.append(other)
    else:
        words = tell("with {male} from {day}, F {inbreeding}", **values)
    return Settled(
        female,
        words,
        also=tuple(also),
        planned=plan,
        to_change=is_over,
        males=(plan.male_id,),
    )


def _other_male(female: Candidate, males: Sequence[Candidate], known: Known, planned: int) -> str:
    """Whom she could have instead, of those that are free: the one of lowest F."""
    free = [one for one in males if one.is_ready and one.animal.pk != planned]
    if not free:
        return ""
    keys = [female.animal.pk, *(one.animal.pk for one in free)]
    table = known.lineage.pedigree.kinship_matrix(keys)[:1, 1:]
    asked = asked_for([female], free, known.wishes, known.lineage, table)
    right = [at for at in range(len(free)) if asked.allowed[0, at]]
    if not right:
        return ""
    at = min(right, key=lambda one: float(table[0, one]))
    return tell(
        "{male} would give F {inbreeding}.",
        male=free[at].animal.name,
        inbreeding=percent(float(table[0, at])),
    )
