"""Questions about litters that gather several rows for a page; they write nothing."""

import datetime
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from django.db.models import QuerySet

from breeding.animals import lineage
from breeding.animals.models import Animal, Measurement
from breeding.animals.parents.parentage import Parents
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.housing.stays.lately import in_tanks_after
from breeding.housing.stays.shared_water import share_water
from breeding.litters.contradictions import DIFFER, Contradiction, contradiction_of
from breeding.litters.models import Litter, Pup
from breeding.litters.raising.leaving import LearnsToFeed, measurements_of, unwell
from breeding.litters.renewed import litters_around, litters_renewed
from breeding.litters.verdicts.deciding import (
    OPEN,
    Decided,
    decided_of,
    with_verdicts,
    withheld_words,
)
from breeding.pairings.care.rest import rest_until
from breeding.pairings.company.standing import standing
from breeding.pairings.models import NurseryTick, Outcome
from breeding.pairings.season.reading import SeasonReading, season_of
from breeding.program.kinds import kind_words
from breeding.program.models import Program
from breeding.program.problems.several import read_of
from breeding.program.unchanged.each import kept_of_each
from breeding.words.language import sentences, tell, tell_as, tell_many
from breeding.words.numbers import written

PUP_DAYS = 365  # one kept for longer is no pup that waits to leave
SMALL_DAYS = 60  # how long a page asks for males away from pups; assumption
SURE = 0.98  # one male carries so much of the mating days: he is the sire until the keeper says


@dataclass(frozen=True)
class Gestation:
    """Days from mating to birth as measured, with how exactly the mating day is known."""

    days: int
    shortest: int
    longest: int
    mated_on: datetime.date

    @property
    def is_exact(self) -> bool:
        return self.shortest == self.longest


def measured_gestation(litter: Litter, program: Program) -> Gestation | None:
    """From the possible mating days, reckoned without what the birth itself says of them.

    None when no company and no sign is on record before the birth.
    """
    reading = season_of(litter.dam, program, asof=litter.born_on, until=litter.outcome)
    days = [*reading.exposed, *(sighting_day for sighting_day in _sign_days(reading))]
    before = [day for day in days if day < litter.born_on]
    if not before:
        return None
    mating = reading.reckon(max(before)).mating
    if mating is None:
        return None
    return Gestation(
        days=(litter.born_on - mating.p50).days,
        shortest=(litter.born_on - mating.p95).days,
        longest=(litter.born_on - mating.p05).days,
        mated_on=mating.p50,
    )


def _sign_days(reading: SeasonReading) -> list[datetime.date]:
    from breeding.pairings.season.reading import seen_on

    return [seen_on(sighting) for sighting in reading.sightings]


def likely_parents_of(litter: Litter, program: Program) -> Parents:
    """The same of a litter on record: what was known before its birth closed the season."""
    return likely_parents(litter.dam, program, asof=litter.born_on, closed_by=litter.outcome)


def likely_parents(
    dam: Animal, program: Program, *, asof: datetime.date, closed_by: Outcome | None = None
) -> Parents:
    """Who the sire of young born on `asof` is as far as company and signs say.

    One male, several with shares, or none. Shares are rounded to whole hundredths and sum to one.
    closed_by: that birth, where it is on record already.
    """
    season = season_of(dam, program, asof=asof, until=closed_by, birth_on=asof)
    shares = season.sires_of_birth(asof)
    if not shares:
        return Parents(None, dam)
    ordered = sorted(shares.items(), key=lambda item: -item[1])
    if ordered[0][1] >= SURE:
        return Parents(Animal.objects.get(pk=ordered[0][0]), dam)
    hundredths = {pk: max(1, round(share * 100)) for pk, share in ordered if share >= 0.005}
    total = sum(hundredths.values())
    males = Animal.objects.in_bulk(hundredths)
    return Parents(
        None, dam, tuple((males[pk], Fraction(part, total)) for pk, part in hundredths.items())
    )


@dataclass(frozen=True)
class CareAfter:
    """After a birth: whether males are away, who says so, and how long the dam rests."""

    apart: NurseryTick | None
    males: tuple[Animal, ...]  # older than the litter, in a water with its pups
    pups_here: int
    rests_until: datetime.date | None
    age_days: int

    @property
    def males_said(self) -> str:
        return ", ".join(male.name for male in self.males)

    @property
    def asks_for_separation(self) -> bool:
        """Small living pups, and nobody has said that males are away, or one is with them."""
        if not self.pups_here or self.age_days > SMALL_DAYS:
            return False
        return self.apart is None or bool(self.males)


def care_after(
    litter: Litter,
    program: Program,
    *,
    asof: datetime.date,
    animals: Iterable[Animal] | None = None,
) -> CareAfter:
    """What the pups and the dam of one litter need now: six queries.

    animals: those its pups are, where they are read already.
    """
    tick = (
        litter.outcome.nursery_ticks.filter(
            item=NurseryTick.Item.APART, withdrawn_at__isnull=True, on__lte=asof
        )
        .select_related("recorded_by")
        .first()
    )
    if animals is None:
        animals = [pup.animal for pup in litter.pups.select_related("animal") if pup.animal]
    here = [one for one in animals if one.is_here]
    return CareAfter(
        apart=tick,
        males=tuple(males_with(here, litter.born_on, asof)) if here else (),
        pups_here=len(here),
        rests_until=rest_until(litter.dam, program, asof=asof),
        age_days=(asof - litter.born_on).days,
    )


def said_to_be_apart(outcomes: Collection[int]) -> set[int]:
    """Of these births, those after which somebody said that males are away: one query, or none."""
    ticks = NurseryTick.objects.filter(
        item=NurseryTick.Item.APART, withdrawn_at__isnull=True, outcome__in=outcomes
    )
    return {key for key in ticks.values_list("outcome", flat=True) if key} if outcomes else set()


def males_with(pups: list[Animal], born_on: datetime.date, asof: datetime.date) -> list[Animal]:
    """Males older than the litter that share a water on record with one of its pups, or its dam."""
    keys = {one.pk for one in pups}
    every = in_tanks_after(asof)
    stays = [stay for stay in every if stay.animal_id in keys]
    found = {
        other.animal_id: other.animal
        for other in every
        if other.animal.sex == Animal.Sex.MALE and other.animal_id not in keys
        if any(share_water(stay, other) for stay in stays)
        and (other.animal.born_on is None or (born_on - other.animal.born_on).days > PUP_DAYS)
    }
    return list(found.values())


@dataclass(frozen=True)
class PupReading:
    """A pup with its latest size, and what it still lacks before it can leave.

    looked_on: the last day on which it was measured, weighed or its condition written down.
    unwell: what of it is no matter of age and size, so that nobody is offered this pup meanwhile;
    one that is held back or culled is among these. decided: the verdict that stands. measured: all
    measurements, oldest first.
    """

    pup: Pup
    disc_width_mm: int | None
    measured_on: datetime.date | None
    lacks: tuple[str, ...]
    is_better: bool
    is_grown: bool
    unwell: tuple[str, ...] = ()
    looked_on: datetime.date | None = None
    decided: Decided = OPEN
    measured: tuple[Measurement, ...] = ()

    @property
    def sex(self) -> Animal.Sex:
        """As its animal has it today; of one born dead as it was seen at birth."""
        return Animal.Sex((self.pup.animal or self.pup).sex)

    @property
    def was_taken_for_another(self) -> bool:
        """Whether its birth says another sex than is known by now."""
        return self.pup.sex not in (Animal.Sex.UNKNOWN, self.sex)

    @property
    def is_ready(self) -> bool:
        return not self.lacks and not self.is_grown

    @property
    def ails(self) -> tuple[str, ...]:
        """Not well: age, width and learning to feed, which every pup lacks once, aside."""
        decided = withheld_words(self.decided)
        return tuple(
            one for one in self.unwell if one not in decided and not isinstance(one, LearnsToFeed)
        )

    @property
    def against(self) -> tuple[str, ...]:
        """What it lacks of itself, whatever was decided of it."""
        return tuple(one for one in self.lacks if one not in withheld_words(self.decided))

    @property
    def standing(self) -> str:
        """In a word or two: whether it is here, stays, may leave or still grows."""
        if self.pup.animal is None:
            return tell("dead")
        if not self.pup.animal.is_here:
            return self.pup.animal.get_state_display()
        if self.decided.is_withheld:
            return self.decided.words
        if self.is_grown:
            return tell_as("of a grown pup", "stays")
        if self.ails:
            return tell("not fit to leave")
        return tell("old and large enough to leave") if self.is_ready else tell("growing")


def pups_of(litters: list[Litter], *, asof: datetime.date) -> dict[int, list[PupReading]]:
    """Every pup of these litters by litter, with its latest width and what keeps it here.

    A constant number of queries.
    """
    return _readings(_with_animals(Pup.objects.filter(litter__in=litters)), asof)


Young = tuple[Litter, list[PupReading]]


def pups_since(asof: datetime.date) -> datetime.date:
    """The first day of birth of whom is still a pup, and may wait to leave, on this day."""
    return asof - datetime.timedelta(days=PUP_DAYS)


def young_litters(since: datetime.date, *, asof: datetime.date) -> list[Young]:
    """Every litter born on that day or later with its pups, the latest first.

    Kept are those of which nothing is another: they are then one and the same thing.
    """
    rows = Litter.objects.filter(withdrawn_at__isnull=True, born_on__gte=since)
    keys = list(rows.order_by("-born_on", "-pk").values_list("pk", flat=True))

    def make(keys: Collection[int]) -> dict[int, Young | None]:
        return dict.fromkeys(keys) | _young(keys, asof)

    found = kept_of_each(
        ("young litters", asof), keys, make, litters_renewed(), litters_around(asof)
    )
    return [one for key in keys if (one := found.get(key)) is not None]


def _young(keys: Collection[int], asof: datetime.date) -> dict[int, Young]:
    rows = Pup.objects.filter(litter__in=keys, litter__withdrawn_at__isnull=True)
    pups = list(with_verdicts(rows.select_related("animal__portrait", "litter__dam__portrait")))
    litters: dict[int, Litter] = {}
    for pup in pups:
        pup.litter = litters.setdefault(pup.litter_id, pup.litter)
    return {key: (litters[key], one) for key, one in _readings(pups, asof).items()}


def contradicting_pups() -> list[Contradiction]:
    """Of all litters, the pups whose own record says otherwise."""
    rows = Pup.objects.filter(DIFFER, litter__withdrawn_at__isnull=True)
    pups = rows.select_related("animal__portrait", "animal__dam", "litter__dam__portrait")
    return [found for pup in pups if (found := contradiction_of(pup)) is not None]


def every_pup_of(litter: Litter, *, asof: datetime.date) -> tuple[list[PupReading], list[Pup]]:
    """The pups of one litter as `pups_of` reads them, and those withdrawn, which it leaves out."""
    every = _with_animals(Pup.every.filter(litter=litter))
    counting = [one for one in every if not one.is_withdrawn]
    withdrawn = sorted((one for one in every if one.is_withdrawn), key=lambda one: one.number)
    return _readings(counting, asof).get(litter.pk, []), withdrawn


def _with_animals(rows: "QuerySet[Pup]") -> list[Pup]:
    return list(with_verdicts(rows.select_related("animal", "animal__portrait", "litter")))


def _readings(pups: list[Pup], asof: datetime.date) -> dict[int, list[PupReading]]:
    keys = [pup.animal_id for pup in pups if pup.animal_id]
    measured: dict[int, list[Measurement]] = {}
    for row in measurements_of(keys) if keys else ():
        measured.setdefault(row.animal_id, []).append(row)
    profiles = all_profiles()
    shares = lineage.current().shares
    ill = unwell(
        [one.pk for pup in pups if (one := pup.animal) and one.is_here],
        asof=asof,
        measured=[row for rows_of_one in measured.values() for row in rows_of_one],
    )
    size = kind_words().size
    found: dict[int, list[PupReading]] = {}
    for pup in pups:
        its_own = measured.get(pup.animal_id or 0, [])
        dated = [row for row in its_own if row.on is not None]
        newest = next((row for row in reversed(dated) if row.disc_width_mm is not None), None)
        width = newest.disc_width_mm if newest else pup.disc_width_mm
        figures = profiles.of(shares.get(pup.animal_id, {})) if pup.animal_id else profiles.unknown
        age = (asof - pup.day).days
        lacks = _growth_lacking(figures, age, width, size)
        decided = decided_of(pup)
        not_well = (*ill.get(pup.animal_id or 0, ()), *withheld_words(decided))
        found.setdefault(pup.litter_id, []).append(
            PupReading(
                pup,
                width,
                newest.on if newest else None,
                (*lacks, *not_well),
                not lacks and not not_well and _has_grown_on(figures, age, width),
                age > PUP_DAYS,
                not_well,
                dated[-1].on if dated else None,
                decided,
                tuple(its_own),
            )
        )
    return found


def _has_grown_on(figures: Figures, age: int, width: int | None) -> bool:
    """Whether it is past the least, at an age in days and a width in mm that are better to leave
    with."""
    if width is None or age < figures.get("leave_better_days", 56):
        return False
    return width >= figures.get("leave_better_mm", 150)


def growth_lacking_each(asked: Mapping[int, datetime.date]) -> dict[int, tuple[str, ...]]:
    """What each of these lacks in age and width alone, as of a day of its own; of pups on record.

    Three queries for many.
    """
    found: dict[int, tuple[str, ...]] = {}
    rows = Pup.objects.filter(litter__withdrawn_at__isnull=True).select_related("litter")
    pups = list(read_of(rows, "animal", asked))
    widths = {
        row.animal_id: row.disc_width_mm
        for row in measurements_of([pup.animal_id for pup in pups if pup.animal_id])
        if row.on is not None and row.disc_width_mm is not None
    }
    profiles, shares, size = all_profiles(), lineage.current().shares, kind_words().size
    for pup in pups:
        key = pup.animal_id or 0
        lacks = _growth_lacking(
            profiles.of(shares.get(key, {})),
            (asked[key] - pup.day).days,
            widths.get(key, pup.disc_width_mm),
            size,
        )
        found.setdefault(key, tuple(lacks))
    return found


def _growth_lacking(figures: Figures, age: int, width: int | None, size: str) -> list[str]:
    """age: in days; width: in mm, None while it was not measured."""
    lacks = []
    least_days = round(figures.get("leave_least_days", 42))
    least_mm = round(figures.get("leave_least_mm", 130))
    if age < least_days:
        lacks.append(tell_many("{number} more day", "{number} more days", least_days - age))
    if width is None:
        lacks.append(tell("a measurement"))
    elif width < least_mm:
        lacks.append(
            tell(
                "{number} cm more {size}",
                number=written(f"{(least_mm - width) / 10:g}"),
                size=size,
            )
        )
    return lacks


def company_words(litter: Litter, program: Program, *, asof: datetime.date) -> str:
    """Who must leave the water of these pups; empty where nobody must."""
    pups = list(Animal.objects.filter(pup_rows__litter=litter, pup_rows__withdrawn_at__isnull=True))
    found = standing(program, asof=asof, about=pups) if pups else []
    return sentences(
        *(
            sentence
            for one in found
            if one.concern.kind == "pups"
            for sentence in one.concern.sentences
        )
    )
