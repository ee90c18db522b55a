"""A litter before it is decided of: its pups, and what the program would lose; writes nothing."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from django.db.models import Q, QuerySet

from breeding.animals.growth.reading import growths_of
from breeding.animals.lineage import Lineage
from breeding.animals.lineage import current as current_lineage
from breeding.animals.models import Animal, Revision
from breeding.animals.species.profiles import all_profiles
from breeding.litters.models import Litter, Verdict
from breeding.litters.queries import PupReading, pups_of, pups_since
from breeding.litters.raising.leaving import not_known
from breeding.litters.renewed import about_pups_of
from breeding.litters.verdicts.deciding import Decided, decided_of, spoken_for, with_verdicts
from breeding.pairings.queries import HERE
from breeding.planning.keeping.measures import Gains, gains_of, rarer
from breeding.planning.keeping.rules import FirstDay, Rule, condition_of, first_day_of, rules_of
from breeding.program.models import Program
from breeding.program.unchanged.growing import kept_from_page_to_page
from breeding.program.unchanged.marks import rests_on
from breeding.words.language import tell
from pedigree import Pedigree, founder_shares, kinship_sums

Date = datetime.date
GOING = (Verdict.Decision.LET_GO, Verdict.Decision.CULL)
LEAST_PART = 1e-9  # of a founder in one of its line: less than 29 halvings leave


@dataclass(frozen=True)
class PupRow:
    """One pup that is here: its rules, for whom it is kept, and what the program has of it.

    place: its rank among those to be decided of, from 1; None for one that is held back.
    """

    reading: PupReading
    animal: Animal
    rules: tuple[Rule, ...]
    first: FirstDay
    kept_for: str
    place: int | None
    mean_kinship: float
    change: float | None  # of gene diversity, if it alone went
    wanted_sex: bool

    @property
    def decided(self) -> Decided:
        return self.reading.decided

    @property
    def is_growing(self) -> bool:
        """Whether it may leave one day, and cannot yet."""
        may_leave = not (self.reading.is_grown or self.decided.is_withheld)
        return may_leave and bool(self.reading.against)


@dataclass(frozen=True)
class Stakes:
    """What hangs on some young of one litter.

    alone: founders of whom nobody else in the program carries anything. parents: how many
    different pairs of parents they have. lacks_parents: whether a parent of one is not known.
    """

    young: tuple[int, ...]
    gains: Gains
    alone: tuple[str, ...]
    shares: tuple[tuple[str, float, float], ...]  # a founder: its share now, and without them
    parents: int
    lacks_parents: bool
    is_uncertain: bool
    sex_wanted: str

    @property
    def worth_keeping(self) -> int:
        """A line that hangs on them alone is worth one, whatever gene diversity says."""
        return max(self.gains.worth_keeping, 1 if self.alone else 0)

    @property
    def rank(self) -> tuple[int, float]:
        """The more is lost the earlier."""
        return -len(self.alone), -self.gains.lost_with_all


@dataclass(frozen=True)
class LitterKeeping:
    """A litter, whoever of it is here, and what hangs on those that are not held back."""

    litter: Litter
    rows: tuple[PupRow, ...]
    stakes: Stakes | None  # None: nobody is left to decide of

    @property
    def held(self) -> tuple[PupRow, ...]:
        return tuple(one for one in self.rows if one.decided.is_held_back)

    @property
    def undecided(self) -> tuple[PupRow, ...]:
        return tuple(one for one in self.rows if one.decided.is_open)

    @property
    def first(self) -> FirstDay | None:
        """From when the first of those not held back may leave; None: one may now, or nobody is."""
        rows = [one for one in self.rows if not one.decided.is_withheld]
        if not rows or any(one.reading.is_ready or one.reading.is_grown for one in rows):
            return None
        return FirstDay(
            min(one.first.old_enough_on for one in rows),
            min((one.first.on for one in rows if one.first.on), default=None),
        )


class Household:
    """Everybody living in the program, with sums of their kinship; a query for
    them and the founders, one for those who are kept for somebody.

    Those that may go, are culled or are kept for a buyer are on their way out: no litter counts
    them as what is left without it.
    """

    def __init__(self) -> None:
        self.lineage: Lineage = current_lineage()
        ped = self.lineage.pedigree
        founders = [one for one in ped.ids if not ped.sires(one) and ped.dam(one) is None]
        wanted = Animal.objects.filter(Q(state__in=HERE) | Q(pk__in=founders)).order_by("pk")
        self.sexes: dict[int, str] = {}
        self.names: dict[int, str] = {}
        self.leaving: set[int] = set()
        for one in with_verdicts(wanted, "pk").only("pk", "sex", "state", "call_name", "code"):
            self.names[one.pk] = one.name
            if one.state not in HERE:
                continue
            self.sexes[one.pk] = one.sex
            if decided_of(one).decision in GOING:
                self.leaving.add(one.pk)
        self.kept_for = spoken_for(list(self.sexes))
        self.leaving |= self.kept_for.keys()

    @cached_property
    def staying(self) -> tuple[int, ...]:
        """All that are not on their way out."""
        return tuple(key for key in self.sexes if key not in self.leaving)

    @cached_property
    def sums(self) -> dict[int, tuple[float, float]]:
        """Of each of the living the sum of its kinship with those staying, and with all."""
        everybody = list(self.sexes)
        found = kinship_sums(self.lineage.pedigree, everybody, [self.staying, everybody])
        return {key: (row[0], row[1]) for key, row in zip(everybody, found.tolist(), strict=True)}

    @cached_property
    def total(self) -> float:
        """Of those staying, each with each and with itself."""
        return sum(self.sums[key][0] for key in self.staying)

    def mean_kinship(self, key: int) -> float:
        """Of one of the living with all of them."""
        return self.sums[key][1] / len(self.sexes)

    def _gains(self, young: Sequence[int], rest: int) -> Gains:
        """rest: how many are left without these."""
        among = self.lineage.pedigree.kinship_matrix(list(young))
        theirs = np.array([self.sums[key][0] for key in young])
        # Of the young, those that stay are in the sums: they are taken out again.
        stay = np.array([key not in self.leaving for key in young])
        counted = among[:, stay].sum(axis=1)
        total = self.total - 2 * float(theirs[stay].sum()) + float(counted[stay].sum())
        return gains_of(total if rest else 0.0, rest, theirs - counted, among)

    def stakes(self, young: Sequence[int]) -> Stakes:
        """What hangs on these, of one litter and living. At least one."""
        ped, chosen = self.lineage.pedigree, set(young)
        rest = [key for key in self.staying if key not in chosen]
        gains = self._gains(young, len(rest))
        theirs = _founders_in(ped, young)
        known = [key for key, part in theirs.items() if key is not None and part]
        then, now = self._without_and_with(young, len(rest), {key: theirs[key] for key in known})
        moved = sorted(known, key=lambda key: round(then[key] - now[key], 12))
        parents = {(tuple(sorted(ped.sires(key).items())), ped.dam(key)) for key in young}
        return Stakes(
            tuple(young),
            gains,
            tuple(self._name(key) for key in known if not then[key]),
            tuple((self._name(key), now[key], then[key]) for key in moved[:6]),
            len(parents),
            any(not sires or dam is None for sires, dam in parents),
            any(len(sires) > 1 for sires, _ in parents),
            rarer([self.sexes[key] for key in rest]),
        )

    def _without_and_with(
        self, young: Sequence[int], rest: int, theirs: Mapping[Any, float]
    ) -> tuple[dict[Any, float], dict[Any, float]]:
        """The shares of founders in those that stay without these young, and with them.

        rest: how many stay without them. theirs: of each founder the sum of its shares in the
        young. What is less than LEAST_PART without them is nothing, for it is a difference.
        """
        stay = [key for key in young if key not in self.leaving]
        of_stay = _founders_in(self.lineage.pedigree, stay) if stay else {}
        left = {key: self._founders.get(key, 0.0) - of_stay.get(key, 0.0) for key in theirs}
        left = {key: part if part > LEAST_PART else 0.0 for key, part in left.items()}
        then = {key: part / rest if rest else 0.0 for key, part in left.items()}
        now = {key: (left[key] + part) / (rest + len(young)) for key, part in theirs.items()}
        return then, now

    @cached_property
    def _founders(self) -> dict[Any, float]:
        """Of each founder its parts in all that stay: it is asked once, and not by each litter."""
        return _founders_in(self.lineage.pedigree, self.staying) if self.staying else {}

    def _name(self, key: int) -> str:
        return self.names.get(key, tell("animal {number}", number=key))


def _founders_in(ped: Pedigree, keys: Sequence[int]) -> dict[Any, float]:
    """Of each founder the sum of its shares in each of these, of which there is at least one."""
    return {key: share * len(keys) for key, share in founder_shares(ped, keys).items()}


def household() -> Household:
    """Everybody as of now; kept until an animal, a verdict or what is kept for somebody is
    written. Nobody may change it."""

    def make() -> Household:
        rests_on(Animal, Revision)
        found = Household()
        found.total  # noqa: B018  (reckoned now, and not by each who asks)
        return found

    return kept_from_page_to_page("household", make)


def keeping_of(litter: Litter, program: Program, *, asof: Date) -> LitterKeeping:
    """One litter. The number of queries does not grow with its pups, nor with the program."""
    everybody = household()
    pups = [one for one in pups_of([litter], asof=asof).get(litter.pk, []) if _is_here(one)]
    animals = {one.pup.pk: one.pup.animal for one in pups}
    growths = growths_of(
        [one for one in animals.values() if one is not None],
        [row for one in pups for row in one.measured],
    )
    profiles, shares = all_profiles(), everybody.lineage.shares
    young = [
        one.pup.animal_id
        for one in pups
        if not one.decided.is_held_back and one.pup.animal_id in everybody.sexes
    ]
    stakes = everybody.stakes(young) if young else None
    unknown = not_known([one.pk for one in animals.values() if one is not None], asof)
    rows = []
    for one in pups:
        animal = animals[one.pup.pk]
        if animal is None:
            continue
        growth, figures = growths.get(animal.pk), profiles.of(shares.get(animal.pk, {}))
        rules = rules_of(
            one, growth, figures, program, asof=asof, unknown=unknown.get(animal.pk, ())
        )
        first = first_day_of(one, growth, figures)
        rows.append(_row(one, animal, rules, first, everybody, stakes))
    return LitterKeeping(litter, tuple(_ranked(rows, stakes)), stakes)


def _row(
    one: PupReading,
    animal: Animal,
    rules: Sequence[Rule],
    first: FirstDay,
    everybody: Household,
    stakes: Stakes | None,
) -> PupRow:
    """Ranks follow once all are known."""
    kinship, change = 0.0, None
    if stakes is not None and animal.pk in stakes.young:
        at = stakes.young.index(animal.pk)
        kinship = stakes.gains.mean_kinship[at]
        change = stakes.gains.without_each[at] - stakes.gains.with_so_many[-1]
    elif animal.pk in everybody.sexes:
        kinship = everybody.mean_kinship(animal.pk)
    return PupRow(
        one,
        animal,
        tuple(rules),
        first,
        everybody.kept_for.get(animal.pk, ""),
        None,
        kinship,
        change,
        stakes is not None and bool(stakes.sex_wanted) and animal.sex == stakes.sex_wanted,
    )


def _ranked(rows: Sequence[PupRow], stakes: Stakes | None) -> list[PupRow]:
    """By what the program would lose; among equals by the sex that is wanted, health and size."""
    if stakes is None:
        return list(rows)
    added = {stakes.young[at]: place for place, at in enumerate(stakes.gains.order)}
    if stakes.parents == 1:
        added = dict.fromkeys(added, 0)

    def worth(row: PupRow) -> tuple[float, ...]:
        condition = condition_of(row.reading)
        return (
            added[row.animal.pk],
            not row.wanted_sex,
            sum(one.is_met is False and one.name in ("lacks", "condition") for one in row.rules),
            -(row.reading.disc_width_mm or 0),
            -(condition.condition or 0 if condition else 0),
            row.reading.pup.number,
        )

    waiting = sorted((one for one in rows if one.animal.pk in added), key=worth)
    others = [one for one in rows if one.animal.pk not in added]
    return [*_numbered(waiting), *others]


def _numbered(rows: Sequence[PupRow]) -> list[PupRow]:
    return [replace(one, place=place) for place, one in enumerate(rows, start=1)]


def _is_here(one: PupReading) -> bool:
    return one.pup.animal is not None and one.pup.animal.is_here


def litters_to_decide(*, asof: Date) -> list[tuple[Litter, list[PupReading], Stakes]]:
    """Litters of a year with pups of whom nothing is decided, whoever is missed most first.

    Kept: what is seen and fed renews it where it is about one of these pups, else any write to
    what it reads. Nobody may change it.
    """
    litters = Litter.objects.filter(withdrawn_at__isnull=True, born_on__gte=pups_since(asof))
    return kept_from_page_to_page(
        ("litters to decide of", asof), lambda: _to_decide(litters, asof), about_pups_of(litters)
    )


def _to_decide(rows: QuerySet[Litter], asof: Date) -> list[tuple[Litter, list[PupReading], Stakes]]:
    litters = list(rows.select_related("dam"))
    found = []
    everybody = household() if litters else None
    pups = pups_of(litters, asof=asof) if litters else {}
    for litter in litters:
        waiting = [one for one in pups.get(litter.pk, []) if _is_here(one) and one.decided.is_open]
        if everybody is None or not waiting:
            continue
        young = [one.pup.animal_id for one in waiting if one.pup.animal_id]
        found.append((litter, waiting, everybody.stakes(young)))
    return sorted(found, key=lambda row: (*row[2].rank, row[0].born_on))
