"""One pairing of the season's plan, as its page shows it."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from breeding.animals.models import Animal
from breeding.planning.season.ancestors import KnownPlaces
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.told.begin import Begin, Kind
from breeding.words.language import tell
from breeding.words.numbers import figure

F_DRAWN = 0.25  # of full siblings; where the axis of F ends
PLACES = 14  # ancestors in three generations
LITTLE_KNOWN = 1 / 2  # of them; below it a low F says little


@dataclass(frozen=True)
class PlannedRow:
    """One pairing of the plan, with its reasons.

    span: the lowest and highest F, where a sire behind the two is uncertain. cost: what a litter
    does to the program's gene diversity, compared: how that is beside the other pairs there may
    be. better: what of a male of lower F for her. none_else: where nobody else is right for her,
    who comes nearest. instead: what the plan would be without this pair. also: that one of the two
    has other pairings of this season. ancestors: of the young, how many of the places in three
    generations are on record.
    """

    female: Candidate
    male: Candidate
    inbreeding: float
    inbreeding_words: str
    closeness: str
    span: tuple[float, float] | None
    gained: float  # gene diversity of the living after a litter, less that before
    cost: str
    compared: str
    is_must: bool
    begin: Begin
    number: int = 0  # its place in the plan, from 1
    better: str = ""
    none_else: str = ""
    instead: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    open_kin: str = ""  # of animals behind the two that came together
    sizes_unknown: bool = False
    hybrids: str = ""  # that their young are hybrids, or may be, and why
    mixes_strains: bool = False  # of two strains, or of one and of none
    ancestors: tuple[KnownPlaces, ...] = ()
    least: float = 0.0  # F without what is assumed of founders
    could_be: float = 0.0  # F if unknown founders are kin as believed
    unknown: float = 0.0  # what part of the genes of the two nobody can follow, 0 to 1
    trait_words: str = ""  # what young of the two will be of the trait that is wished for
    has_trait: bool = False  # with the chance asked
    reason: str = ""  # why it is worth making, as a part of a sentence
    next_best: Animal | None = None  # the male of lowest F for her beside this one
    next_inbreeding: float = 0.0
    tank: str = ""  # a free one for the two, where they are not in one already

    @property
    def not_before(self) -> datetime.date:
        return self.begin.on

    @property
    def is_now(self) -> bool:
        return self.begin.kind is Kind.NOW

    @property
    def is_to_settle(self) -> bool:
        return self.begin.kind is Kind.SETTLE

    @property
    def is_later(self) -> bool:
        return self.begin.kind is Kind.LATER

    @property
    def are_together(self) -> bool:
        return bool(self.female.place) and self.female.place == self.male.place

    @property
    def known_words(self) -> str:
        """How much of the ancestry F rests on, as it is said behind F."""
        known = figure(self.known_places, 1, trimmed=True)
        if self.known_places >= PLACES:
            return tell("all {all} ancestors known", all=PLACES)
        if self.known_places < PLACES * LITTLE_KNOWN:
            return tell("but only {known} of {all} ancestors known", known=known, all=PLACES)
        return tell("{known} of {all} ancestors known", known=known, all=PLACES)

    @property
    def are_kin(self) -> bool:
        return self.inbreeding > 0

    @property
    def known_places(self) -> float:
        return float(sum(one.known for one in self.ancestors))

    @property
    def ends_drawn(self) -> tuple[float, float]:
        """The same in hundredths of an axis that ends at F_DRAWN."""
        low, high = (round(100 * min(one / F_DRAWN, 1.0), 1) for one in self.ends)
        return low, high

    @property
    def between_drawn(self) -> float:
        return round(self.ends_drawn[1] - self.ends_drawn[0], 1)

    @property
    def ends(self) -> tuple[float, float]:
        """From where to where F may be."""
        low, high = self.span or (self.inbreeding, self.inbreeding)
        return min(low, self.least), max(high, self.could_be)

    @property
    def is_open(self) -> bool:
        """Whether it could be more than what is on record says."""
        return self.ends[1] > self.inbreeding + 1e-12

    @property
    def is_unsaid(self) -> bool:
        """Whether nobody knows if these two are kin at all."""
        return not self.inbreeding and self.could_be > 0


def in_order(rows: Iterable[PlannedRow]) -> list[PlannedRow]:
    """What can begin today first, then by the day; within that, what adds most to the program's
    diversity, and those of whom nobody knows whether they are kin after all others."""
    found = sorted(
        rows,
        key=lambda row: (
            row.begin.kind,
            row.begin.on if row.is_later else datetime.date.min,
            row.is_unsaid,
            -row.gained,
        ),
    )
    return [replace(row, number=number) for number, row in enumerate(found, start=1)]


def with_tanks(rows: Sequence[PlannedRow], free_tanks: Sequence[str]) -> tuple[PlannedRow, ...]:
    """With a free tank for each that can begin today and is in no tank together, as long as there
    are some."""
    left = list(free_tanks)
    found = []
    for row in rows:
        takes = row.is_now and not row.are_together and bool(left)
        found.append(replace(row, tank=left.pop(0)) if takes else row)
    return tuple(found)
