"""What is known of animals that share water, or are about to: a handful of queries for all."""

import datetime
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Protocol

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.health.quarantine import Quarantined, quarantined
from breeding.pairings.care.healing import OpenHarm, OpenWound, open_harm
from breeding.pairings.care.rest import rests
from breeding.pairings.models import Pairing
from breeding.pairings.season.exposure import Maturity, mature_since
from breeding.pairings.season.facts import widths_of
from breeding.pairings.season.reading import SeasonReading, seasons
from breeding.program.models import Program
from breeding.program.parts import in_parts
from breeding.program.problems.doubts import threshold
from pedigree.rows import Floats

Date = datetime.date
MALE, FEMALE = Animal.Sex.MALE, Animal.Sex.FEMALE
LATE_DAYS = 30  # before her window: about the last quarter of a gestation; assumption


class KinshipOfTwo(Protocol):
    """Kinship of two animals by their keys, 0 to 1."""

    def of(self, one: int, other: int) -> float: ...


@dataclass(frozen=True)
class Kinship:
    """Kinship of some animals with each other; 0 for one of whom nothing is known.

    places: row and column of each key. matrix: float64 (m, m), symmetric, 0 to 1.
    """

    places: Mapping[int, int]
    matrix: Floats

    def of(self, one: int, other: int) -> float:
        row, column = self.places.get(one), self.places.get(other)
        return 0.0 if row is None or column is None else float(self.matrix[row, column])


@dataclass(frozen=True)
class Known:
    """Facts of some animals on a day, by key; who is in none of the tables is in no such state."""

    on: Date
    caution: float  # from which F on kin are named
    needs_reason: float  # and from which on a reason is asked for
    could_breed: Mapping[int, Maturity] = field(repr=False)
    kinship: KinshipOfTwo = field(repr=False)
    resting: Mapping[int, Date] = field(default_factory=dict)
    wounded: Mapping[int, Date] = field(default_factory=dict)  # by the program's own degree
    marked: Mapping[int, Date] = field(default_factory=dict)  # more than lightly, not healed
    window_opens: Mapping[int, Date] = field(default_factory=dict)
    quarantine: Mapping[int, Quarantined] = field(default_factory=dict)
    paired: frozenset[tuple[int, int]] = frozenset()

    def can_breed(self, animal: Animal, on: Date | None = None) -> bool:
        """Whether it could by then; one of whom nobody knows either way could."""
        return self.could_breed[animal.pk].since <= (on or self.on)

    def is_grown(self, animal: Animal) -> bool:
        """Whether it is no pup beside pups; of unknown age: it is."""
        born_on = animal.born_on
        return born_on is None or (self.on - born_on).days >= threshold("grown_days")

    def both_could_breed(self, one: Animal, other: Animal) -> Date:
        """The first day on which both of them could."""
        return max(self.could_breed[one.pk].since, self.could_breed[other.pk].since)

    def inbreeding(self, one: Animal, other: Animal) -> float:
        """Expected F of their young."""
        return self.kinship.of(one.pk, other.pk)


@dataclass(frozen=True)
class Bearing:
    """Of females, by key: whose window opens soon and when, and whose marks are not healed."""

    window_opens: Mapping[int, Date]
    wounds: Mapping[int, OpenWound]


def bearing_of(read: Iterable[SeasonReading], harmed: Mapping[int, OpenHarm], on: Date) -> Bearing:
    wounds = {pk: one.wound for pk, one in harmed.items() if one.wound is not None}
    return Bearing(windows_near(read, on), wounds)


def known_of(
    animals: Iterable[Animal],
    program: Program,
    *,
    on: Date,
    bearing: Bearing | None = None,
    seasons_of: Collection[int] | None = None,
) -> Known:
    """All there is to know of these on a day; `bearing`: of the females, where it is read.

    seasons_of: the females whose seasons matter; None for all.
    """
    group = {one.pk: one for one in animals}
    females = [one for one in group.values() if one.sex == FEMALE]
    if bearing is None:
        asked = [one for one in females if seasons_of is None or one.pk in seasons_of]
        read = seasons(program, asof=on, females=asked) if asked else []
        bearing = bearing_of(read, open_harm([one.pk for one in females], asof=on), on)
    hers = {one.pk for one in females}
    return known_from(
        on,
        program,
        could_breed=could_breed_since(group),
        kinship=_kinship(group),
        resting=rests(females, program, asof=on),
        wounds={pk: wound for pk, wound in bearing.wounds.items() if pk in hers},
        window_opens=bearing.window_opens,
        quarantine=quarantined(group, on),
        paired=paired_of(hers),
    )


def known_from(
    on: Date,
    program: Program,
    *,
    could_breed: Mapping[int, Maturity],
    kinship: KinshipOfTwo,
    resting: Mapping[int, Date],
    wounds: Mapping[int, OpenWound],
    window_opens: Mapping[int, Date],
    quarantine: Mapping[int, Quarantined],
    paired: frozenset[tuple[int, int]],
) -> Known:
    """From facts that were read: what of them still stands on that day."""
    limit = program.separate_at_severity
    marked = {pk: wound for pk, wound in wounds.items() if wound.is_more_than_light}
    return Known(
        on=on,
        caution=program.inbreeding_caution,
        needs_reason=program.inbreeding_needs_reason,
        could_breed=could_breed,
        kinship=kinship,
        resting={pk: day for pk, day in resting.items() if day > on},
        wounded={
            pk: wound.looked_on for pk, wound in marked.items() if (wound.worst or 0) >= limit
        },
        marked={pk: wound.looked_on for pk, wound in marked.items()},
        window_opens=window_opens,
        quarantine={pk: one for pk, one in quarantine.items() if not one.is_done_on(on)},
        paired=paired,
    )


def paired_of(females: Collection[int]) -> frozenset[tuple[int, int]]:
    """Those of these with the males they are together with by a pairing: one query for many."""
    going_on = Pairing.objects.filter(separated_on__isnull=True, withdrawn_at__isnull=True)
    return frozenset(
        pair
        for keys in in_parts(sorted(females))
        for pair in going_on.filter(female__in=keys).values_list("female_id", "male_id")
    )


def could_breed_since(animals: Mapping[int, Animal]) -> dict[int, Maturity]:
    """From when on each could be mated, early for safety: long before it is fit to breed."""
    profiles, shares = all_profiles(), lineage.current().shares
    widths = widths_of(animals.values())
    found = {}
    for pk, one in animals.items():
        days, width = _early(profiles.of(shares.get(pk, {})), one.sex)
        found[pk] = mature_since(one.born_on, widths.get(pk, ()), least_days=days, least_mm=width)
    return found


def windows_near(read: Iterable[SeasonReading], on: Date) -> dict[int, Date]:
    """When the window opens of those that are late in pregnancy, or past it."""
    found = {}
    for season in read:
        if on + datetime.timedelta(days=LATE_DAYS) < season.earliest_window:
            continue
        window = season.estimate.announced
        if window is None or season.estimate.announced_chance < season.rules.worth_planning_chance:
            continue
        if on >= window.p05 - datetime.timedelta(days=LATE_DAYS):
            found[season.female.pk] = window.p05
    return found


def _early(figures: Figures, sex: str) -> tuple[float, float]:
    """Days and width from which on one could be mated; of unknown sex: the earlier of the two."""
    names = {MALE: ["male"], FEMALE: ["female"]}.get(sex, ["male", "female"])  # type: ignore[call-overload]
    days = min(figures.figure(f"mature_{name}_days") for name in names)
    width = min(figures.figure(f"mature_{name}_mm") for name in names)
    return (
        min(days, threshold("could_breed_days")),
        width * threshold("could_breed_share_of_width"),
    )


def _kinship(keys: Iterable[int]) -> Kinship:
    pedigree = lineage.current().pedigree
    known = sorted(key for key in keys if key in pedigree)
    places = {key: place for place, key in enumerate(known)}
    return Kinship(places, pedigree.kinship_matrix(known))
