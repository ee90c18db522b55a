"""How much of an ancestry is known: it stands beside every F that is shown."""

from dataclasses import dataclass
from fractions import Fraction

from breeding.animals.lineage import Lineage
from breeding.program.formats import percent
from pedigree import KnownAncestors, completeness_index, known_ancestors
from pedigree.words import known_count, known_sentence

GENERATIONS = 3
_NAMES = {1: "parents", 2: "grandparents", 3: "great-grandparents"}


@dataclass(frozen=True)
class KnownBar:
    """One generation of ancestors as a bar: how many of its places are known."""

    generation: int
    words: str
    percent: int

    @property
    def name(self) -> str:
        return _NAMES[self.generation]

    @property
    def left(self) -> int:
        """Where it stands in the small picture, where each bar is up to 100 units high."""
        return 90 * (self.generation - 1) + 5

    @property
    def top(self) -> int:
        return 105 - self.percent


@dataclass(frozen=True)
class Known:
    """How much is known over three generations, and over all of them taken together."""

    by_generation: tuple[KnownAncestors, ...]
    equivalent_generations: float
    completeness: float

    @property
    def places(self) -> Fraction:
        """Known places among the possible ones; of an uncertain sire the share counts."""
        return sum((one.known for one in self.by_generation), Fraction(0))

    @property
    def possible(self) -> int:
        return sum(one.possible for one in self.by_generation)

    @property
    def sentence(self) -> str:
        return known_sentence(self.by_generation)

    @property
    def basis(self) -> str:
        """What an F beside it rests on: "from 6 of 14 possible ancestors"."""
        count = known_count(self.places, self.possible)
        shares = "" if self.places.denominator == 1 else ", uncertain sires counted by their share"
        return f"from {count} of {self.possible} possible ancestors{shares}"

    @property
    def bars(self) -> tuple[KnownBar, ...]:
        return tuple(
            KnownBar(
                one.generation,
                f"{known_count(one.known, one.possible)} of {one.possible}",
                round(100 * one.known / one.possible),
            )
            for one in self.by_generation
        )

    @property
    def words(self) -> str:
        """What the small picture shows, for those who do not see it."""
        bars = ", ".join(f"{bar.name} {bar.words}" for bar in self.bars)
        return f"Known: {bars}; completeness of both sides {percent(self.completeness)}"


def known_of(found: Lineage, animal: int) -> Known:
    """How much is known of one animal's ancestry. Cost: at most 14 places."""
    return Known(
        known_ancestors(found.pedigree, animal, GENERATIONS),
        found.equivalent_generations[animal],
        completeness_index(found.pedigree, animal, GENERATIONS),
    )
