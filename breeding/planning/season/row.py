"""One pairing of the season's plan, as its page shows it."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from breeding.animals.models import Animal
from breeding.planning.season.ancestors import KnownPlaces
from breeding.planning.season.readiness import Candidate

F_DRAWN = 0.25  # of full siblings; where the axis of F ends


@dataclass(frozen=True)
class PlannedRow:
    """One pairing of the plan, with its reasons.

    span: the lowest and highest F, where a sire behind the two is uncertain. adds: how much F the
    whole plan has more without this pair; None: without it the rules cannot be kept. better: who
    alone would be better for her; better_adds: what the plan has more with him, if there is such a
    plan. diversity: the program's gene diversity now, and after a litter, in per cent. ancestors:
    of the young, how many of the places in three generations are on record.
    """

    female: Candidate
    male: Candidate
    inbreeding: float
    inbreeding_words: str
    closeness: str
    span: tuple[float, float] | None
    gained: float  # gene diversity of the living after a litter, less that before
    diversity: tuple[str, str]
    adds: float | None
    better: str
    better_adds: float | None
    is_must: bool
    not_before: datetime.date
    open_kin: str = ""  # of animals behind the two that came together
    sizes_unknown: bool = False
    is_across: bool = False  # of two species, or of a pure animal and one that is not
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
    """What adds most to the program's diversity first; of whom nobody knows whether they are kin,
    after all others."""
    return sorted(rows, key=lambda row: (row.is_unsaid, -row.gained))


def with_tanks(rows: Sequence[PlannedRow], free_tanks: Sequence[str]) -> tuple[PlannedRow, ...]:
    """With a free tank for each that is in no tank together, as long as there are some."""
    left = list(free_tanks)
    found = []
    for row in rows:
        together = bool(row.female.place) and row.female.place == row.male.place
        found.append(row if together or not left else replace(row, tank=left.pop(0)))
    return tuple(found)
