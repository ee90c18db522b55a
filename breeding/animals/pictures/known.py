"""How much of an ancestry is known, as a small picture that stands beside every F in a list."""

from dataclasses import dataclass
from functools import cached_property

from breeding.animals.lineage import Lineage
from breeding.words.descent.ancestry import GENERATIONS, generation_name
from breeding.words.language import tell, tell_many
from breeding.words.numbers import figure, percent, places
from pedigree import KnownAncestors, completeness_index, known_ancestors


@dataclass(frozen=True)
class KnownBar:
    """One generation of ancestors as a bar: how many of its places are known."""

    generation: int
    words: str
    percent: int

    @property
    def name(self) -> str:
        return generation_name(self.generation)

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

    @cached_property
    def bars(self) -> tuple[KnownBar, ...]:
        return tuple(
            KnownBar(
                one.generation,
                tell(
                    "{known} of {possible}",
                    known=places(one.known, one.possible),
                    possible=one.possible,
                ),
                round(100 * one.known / one.possible),
            )
            for one in self.by_generation
        )

    @property
    def complete_for(self) -> str:
        """For how many generations it is complete, taking all lines together."""
        said = figure(self.equivalent_generations, 1, trimmed=True)
        return tell_many(
            "{number} generation", "{number} generations", 1 if said == "1" else 2, number=said
        )

    @property
    def words(self) -> str:
        """What the small picture shows, for those who do not see it."""
        bars = ", ".join(f"{bar.name} {bar.words}" for bar in self.bars)
        return tell(
            "Known: {generations}; completeness of both sides {share}",
            generations=bars,
            share=percent(self.completeness),
        )


def known_of(found: Lineage, animal: int) -> Known:
    """How much is known of one animal's ancestry. Cost: at most 14 places."""
    return Known(
        known_ancestors(found.pedigree, animal, GENERATIONS),
        found.equivalent_generations[animal],
        completeness_index(found.pedigree, animal, GENERATIONS),
    )
