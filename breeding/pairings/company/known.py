"""What is known of animals that share water, or are about to: a handful of queries for all."""

import datetime
from collections.abc import Collection, Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.health.quarantine import Quarantined, quarantined
from breeding.pairings.care.healing import OpenHarm, OpenWound, open_harm
from breeding.pairings.care.rest import rests
from breeding.pairings.models import Pairing
from breeding.pairings.season.exposure import Maturity, mature_since
from breeding.pairings.season.facts import widths_of
from breeding.pairings.season.late import LATE_DAYS, may_be_late, seasons_if_late
from breeding.pairings.season.reading import SeasonReading, seasons
from breeding.program.frame.memory import only_reads
from breeding.program.models import Program
from breeding.program.problems.doubts import threshold
from pedigree.rows import Floats

Date = datetime.date
MALE, FEMALE = Animal.Sex.MALE, Animal.Sex.FEMALE
FEW = 100  # females: of no more their pairings are asked for by themselves


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


NO_KINSHIP = Kinship({}, np.empty((0, 0)))

Widths = Mapping[int, Sequence[tuple[Date, int]]]


@dataclass(frozen=True, kw_only=True)
class Lately:
    """What of some animals is another by acts of every day, by key; who is in none of the tables is
    in no such state.
    """

    resting: Mapping[int, Date] = field(default_factory=dict)
    wounded: Mapping[int, Date] = field(default_factory=dict)  # by the program's own degree
    marked: Mapping[int, Date] = field(default_factory=dict)  # more than lightly, not healed
    window_opens: Mapping[int, Date] = field(default_factory=dict)
    quarantine: Mapping[int, Quarantined] = field(default_factory=dict)
    paired: frozenset[tuple[int, int]] = frozenset()
    widths: Widths = field(default_factory=dict)  # of those whose age is not known

    def by_animal(self) -> dict[int, tuple[Any, ...]]:
        """All of it by the animal it is about (of two that are paired, the female), to compare."""
        quarantine = {
            pk: (one.came_on, one.tank_id, one.until, one.days_words)
            for pk, one in self.quarantine.items()
        }
        mates: dict[int, tuple[int, ...]] = {}
        for female, male in sorted(self.paired):
            mates[female] = (*mates.get(female, ()), male)
        days = (self.resting, self.wounded, self.marked, self.window_opens)
        tables: tuple[Mapping[int, Any], ...] = (*days, quarantine, mates, self.widths)
        found: dict[int, tuple[Any, ...]] = {}
        for number, table in enumerate(tables):
            for pk, said in table.items():
                found[pk] = (*found.get(pk, ()), (number, said))
        return found


@dataclass(frozen=True, kw_only=True)
class Known(Lately):
    """Facts of some animals on a day."""

    on: Date
    caution: float  # from which F on kin are named
    needs_reason: float  # and from which on a reason is asked for
    could_breed: Mapping[int, Maturity] = field(repr=False)
    kinship: KinshipOfTwo = field(repr=False)

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
    seasons_of: Collection[int] | None = None,
) -> Known:
    """All there is to know of these on a day; seasons_of: the females whose seasons matter, None
    for all.
    """
    group = {one.pk: one for one in animals}
    females = [one for one in group.values() if one.sex == FEMALE]
    asked = [one for one in females if seasons_of is None or one.pk in seasons_of]
    read = _read(asked, program, on) if asked else []
    bearing = bearing_of(read, open_harm([one.pk for one in females], asof=on), on)
    lately = lately_of(group, program, on=on, bearing=bearing)
    return known_with(group, program, lately, on=on)


def _read(females: Sequence[Animal], program: Program, on: Date) -> Iterable[SeasonReading]:
    """Their seasons, as far as windows open soon: a page has more to say of them."""
    if only_reads():
        return seasons(program, asof=on, females=females)
    return seasons_if_late(program, females, on).values()


def lately_of(
    group: Mapping[int, Animal], program: Program, *, on: Date, bearing: Bearing
) -> Lately:
    """Of these animals, by key; `bearing` of the females among them, and maybe of others."""
    females = [one for one in group.values() if one.sex == FEMALE]
    hers = {one.pk for one in females}
    return lately_from(
        on,
        program,
        resting=rests(females, program, asof=on),
        wounds={pk: wound for pk, wound in bearing.wounds.items() if pk in hers},
        window_opens=bearing.window_opens,
        quarantine=quarantined(group, on),
        paired=paired_of(hers),
        widths=widths_of(group.values()),
    )


def lately_from(
    on: Date,
    program: Program,
    *,
    resting: Mapping[int, Date],
    wounds: Mapping[int, OpenWound],
    window_opens: Mapping[int, Date],
    quarantine: Mapping[int, Quarantined],
    paired: frozenset[tuple[int, int]],
    widths: Widths,
) -> Lately:
    """From facts that were read: what of them still stands on that day."""
    limit = program.separate_at_severity
    marked = {pk: wound for pk, wound in wounds.items() if wound.is_more_than_light}
    return Lately(
        resting={pk: day for pk, day in resting.items() if day > on},
        wounded={
            pk: wound.looked_on for pk, wound in marked.items() if (wound.worst or 0) >= limit
        },
        marked={pk: wound.looked_on for pk, wound in marked.items()},
        window_opens=window_opens,
        quarantine={pk: one for pk, one in quarantine.items() if not one.is_done_on(on)},
        paired=paired,
        widths=widths,
    )


def paired_of(females: Set[int]) -> frozenset[tuple[int, int]]:
    """Who is together with them by a pairing that goes on: one query, of many females for all."""
    rows = Pairing.objects.filter(separated_on__isnull=True, withdrawn_at__isnull=True)
    if len(females) <= FEW:
        rows = rows.filter(female__in=females)
    pairs = rows.values_list("female_id", "male_id")
    return frozenset((female, male) for female, male in pairs if female in females)


def known_with(group: Mapping[int, Animal], program: Program, lately: Lately, *, on: Date) -> Known:
    """With what hardly ever changes: from when on each could breed, and whose kin they are."""
    could_breed, kinship = _could_breed_since(group, lately.widths), kinship_of(group)
    return known_from(lately, program, on=on, could_breed=could_breed, kinship=kinship)


def known_from(
    lately: Lately,
    program: Program,
    *,
    on: Date,
    could_breed: Mapping[int, Maturity],
    kinship: KinshipOfTwo,
) -> Known:
    return Known(
        **vars(lately),
        on=on,
        caution=program.inbreeding_caution,
        needs_reason=program.inbreeding_needs_reason,
        could_breed=could_breed,
        kinship=kinship,
    )


def could_breed_since(animals: Mapping[int, Animal]) -> dict[int, Maturity]:
    """From when on each could be mated, early for safety: long before it is fit to breed."""
    return _could_breed_since(animals, widths_of(animals.values()))


def _could_breed_since(animals: Mapping[int, Animal], widths: Widths) -> dict[int, Maturity]:
    profiles, shares = all_profiles(), lineage.current().shares
    found = {}
    for pk, one in animals.items():
        days, width = _early(profiles.of(shares.get(pk, {})), one.sex)
        found[pk] = mature_since(one.born_on, widths.get(pk, ()), least_days=days, least_mm=width)
    return found


def windows_near(read: Iterable[SeasonReading], on: Date) -> dict[int, Date]:
    """When the window opens of those that are late in pregnancy, or past it."""
    found = {}
    for season in read:
        if not may_be_late(season.earliest_window, on):
            continue
        window = season.outlook.announced
        if window is None or season.outlook.announced_chance < season.rules.worth_planning_chance:
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


def kinship_of(keys: Iterable[int]) -> Kinship:
    """Of all of these with each other."""
    pedigree = lineage.current().pedigree
    known = sorted(key for key in keys if key in pedigree)
    places = {key: place for place, key in enumerate(known)}
    return Kinship(places, pedigree.kinship_matrix(known))
