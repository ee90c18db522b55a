"""Questions about litters that gather several rows for a page; they write nothing."""

import datetime
from dataclasses import dataclass
from fractions import Fraction

from breeding.animals import lineage
from breeding.animals.models import Animal, Measurement
from breeding.animals.parentage import Parents
from breeding.animals.profiles import all_profiles
from breeding.litters.models import Litter, Pup
from breeding.pairings.seasons import SeasonReading, season_of
from breeding.program.formats import counted
from breeding.program.models import Program

PUP_DAYS = 365  # one kept for longer is no pup that waits to leave
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
    from breeding.pairings.seasons import seen_on

    return [seen_on(sighting) for sighting in reading.sightings]


def likely_parents(dam: Animal, program: Program, *, asof: datetime.date) -> Parents:
    """Who the sire of young born on `asof` is as far as company and signs say.

    One male, several with shares, or none. Shares are rounded to whole hundredths and sum to one.
    """
    shares = season_of(dam, program, asof=asof).sires_of_birth(asof)
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
class PupReading:
    """A pup with its latest size, and what it still lacks before it can leave."""

    pup: Pup
    disc_width_mm: int | None
    measured_on: datetime.date | None
    lacks: tuple[str, ...]
    is_better: bool
    is_grown: bool

    @property
    def is_ready(self) -> bool:
        return not self.lacks and not self.is_grown


def pups_of(litters: list[Litter], *, asof: datetime.date) -> dict[int, list[PupReading]]:
    """Every pup of these litters by litter, each with its latest width; constant queries."""
    pups = list(
        Pup.objects.filter(litter__in=litters).select_related(
            "animal", "animal__portrait", "litter"
        )
    )
    keys = [pup.animal_id for pup in pups if pup.animal_id]
    latest: dict[int, Measurement] = {}
    for row in Measurement.objects.filter(animal__in=keys, disc_width_mm__isnull=False).order_by(
        "on", "pk"
    ):
        latest[row.animal_id] = row
    profiles = all_profiles()
    shares = lineage.current().shares
    found: dict[int, list[PupReading]] = {}
    for pup in pups:
        row_of_pup = latest.get(pup.animal_id) if pup.animal_id else None
        width = row_of_pup.disc_width_mm if row_of_pup else pup.disc_width_mm
        figures = profiles.of(shares.get(pup.animal_id, {})) if pup.animal_id else profiles.unknown
        age = (asof - pup.litter.born_on).days
        lacks = []
        least_days = round(figures.get("leave_least_days", 42))
        least_mm = round(figures.get("leave_least_mm", 130))
        if age < least_days:
            lacks.append(counted(least_days - age, "more day"))
        if width is None:
            lacks.append("a measurement")
        elif width < least_mm:
            lacks.append(f"{(least_mm - width) / 10:g} cm more disc width")
        better = (
            not lacks
            and age >= figures.get("leave_better_days", 56)
            and width is not None
            and width >= figures.get("leave_better_mm", 150)
        )
        found.setdefault(pup.litter_id, []).append(
            PupReading(
                pup,
                width,
                row_of_pup.on if row_of_pup else None,
                tuple(lacks),
                better,
                age > PUP_DAYS,
            )
        )
    return found
