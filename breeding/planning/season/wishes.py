"""What the keeper asks of a season's plan, wish by wish, and as rules for the planner; pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np
import numpy.typing as npt

from breeding.planning.season.trait_wish import ENOUGH, TraitWish
from breeding.words.language import message, tell
from breeding.words.numbers import percent
from pedigree.figures.unknown_founders import HALF_AS_LIKELY_AS_LITTERMATES
from pedigree.plans.rules import SLACK, Rules, read_rules
from pedigree.rows import Floats

Bools = npt.NDArray[np.bool_]
Chosen = frozenset[tuple[int, int]]  # (female, male) keys
WEIGHTS = (
    (0.0, message("only low F in the young")),
    (0.25, message("mostly low F")),
    (0.5, message("both alike")),
    (0.75, message("mostly the program's diversity")),
    (1.0, message("only the program's diversity")),
)
EXPECTED, CAUTIOUS = "expected", "cautious"
FIGURES = (
    (CAUTIOUS, message("be careful: as if they were kin, as far as they may be")),
    (EXPECTED, message("go by what is on record alone: as if they were not")),
)
UNKNOWN_KIN = (  # kinship of two unknown founders of one source
    (Fraction(1, 4), message("littermates, all of them")),
    (HALF_AS_LIKELY_AS_LITTERMATES, message("littermates in one case of two, else not kin")),
    (Fraction(1, 16), message("half siblings in one case of two, else not kin")),
    (Fraction(0), message("not kin at all")),
)


@dataclass(frozen=True)
class Wishes:
    """What the keeper asks of the plan."""

    per_female: int = 1
    per_male: int | None = 2
    litters: int | None = None
    most: float | None = None  # the largest F that is accepted
    below: float | None = None  # from this F on no pair is proposed, but for those kept by hand
    diversity: float = 0.0  # 0: only F counts; 1: only the kinship that the litters add
    must: Chosen = frozenset()
    must_not: Chosen = frozenset()
    keep_species: bool = True
    keep_strains: bool = False
    most_pairings: int | None = None  # there is no room for more
    is_by_tanks: bool = True  # that is why; else what tanks, buyers and the program bear
    figure: str = CAUTIOUS  # which F is made least
    unknown_kin: Fraction = HALF_AS_LIKELY_AS_LITTERMATES
    trait: TraitWish | None = None

    @property
    def limit_words(self) -> str:
        """Which F is accepted, as a part of a sentence; empty where any is."""
        if self.below is not None and (self.most is None or self.below <= self.most):
            return tell("below {share}", share=percent(self.below))
        return "" if self.most is None else tell("of at most {share}", share=percent(self.most))

    def is_too_close(self, inbreeding: float) -> bool:
        """Whether F is over one of the two limits."""
        is_over = self.most is not None and inbreeding > self.most + SLACK
        return is_over or (self.below is not None and inbreeding >= self.below - SLACK)


@dataclass(frozen=True)
class Asked:
    """The wishes as tables over these females (rows) and males (columns)."""

    wishes: Wishes
    inbreeding: Floats  # expected F of the young, 0 to 1
    females: Sequence[str]  # names
    males: Sequence[str]
    must: Bools
    must_not: Bools
    across_species: Bools  # pairs of two species, or of a pure animal and one that is not
    across_strains: Bools
    too_wide: Bools  # the male is too much wider than the female; always heeded, but for `must`
    chances: Floats | None = None  # of the trait that is wished for, in their young; 0 to 1

    @property
    def binding(self) -> frozenset[str]:
        """Names of the wishes that can stand in the way of a plan."""
        wishes = self.wishes
        binds = {
            "per_female": True,
            "per_male": wishes.per_male is not None,
            "litters": wishes.litters is not None,
            "most": wishes.most is not None,
            "below": bool(self.not_below.any()),
            "must": bool(self.must.any()),
            "must_not": bool(self.must_not.any()),
            "keep_species": wishes.keep_species and bool(self.across_species.any()),
            "keep_strains": wishes.keep_strains and bool(self.across_strains.any()),
            "most_pairings": wishes.most_pairings is not None,
            "sizes": bool((self.too_wide & ~self.must).any()),
            "trait": wishes.trait is not None and self.chances is not None,
        }
        return frozenset(name for name, does in binds.items() if does)

    @property
    def not_below(self) -> Bools:
        """Pairs of so high an F that a reason has to be written; but for those kept by hand."""
        if self.wishes.below is None:
            return np.zeros(self.inbreeding.shape, np.bool_)
        found: Bools = (self.inbreeding >= self.wishes.below - SLACK) & ~self.must
        return found

    @property
    def too_close(self) -> Bools:
        """Pairs over either limit."""
        most = 1.0 if self.wishes.most is None else self.wishes.most
        found: Bools = self.not_below | (self.inbreeding > most + SLACK)
        return found

    @property
    def with_trait(self) -> Bools:
        """Pairs of which the young have the trait that is wished for with the chance asked."""
        if self.wishes.trait is None or self.chances is None:
            return np.zeros(self.inbreeding.shape, np.bool_)
        found: Bools = self.chances >= self.wishes.trait.least - ENOUGH
        return found

    def barred(self, keep: frozenset[str]) -> Bools:
        """Pairs that must not be when these wishes hold; the most F that is typed aside."""
        forbidden = np.zeros(self.inbreeding.shape, np.bool_)
        for name, table in (
            ("must_not", self.must_not),
            ("below", self.not_below),
            ("keep_species", self.across_species),
            ("keep_strains", self.across_strains),
            ("sizes", self.too_wide & ~self.must),
        ):
            if name in keep:
                forbidden = forbidden | table
        return forbidden

    @property
    def allowed(self) -> Bools:
        """Pairs that all the wishes allow, each by itself, and those kept by hand."""
        found: Bools = ~(self.barred(self.binding) | self.too_close) | self.must
        return found

    def arguments(self, keep: frozenset[str] | None = None) -> dict[str, Any]:
        """For `plan_pairings`, when only the wishes in `keep` hold; None: all of them."""
        keep = self.binding if keep is None else keep
        wishes, trait = self.wishes, self.wishes.trait
        return {
            "per_female": wishes.per_female if "per_female" in keep else None,
            "per_male": wishes.per_male if "per_male" in keep else None,
            "forbidden": self.barred(keep),
            "most": wishes.most if "most" in keep else None,
            "litters": wishes.litters if "litters" in keep else None,
            "required": self.must if "must" in keep else np.zeros_like(self.must),
            "wanted": [(self.with_trait, trait.pairs)] if trait and "trait" in keep else [],
        }

    def rules(self, keep: frozenset[str]) -> Rules:
        """What the planner has to keep to when only these wishes hold."""
        return read_rules(
            self.inbreeding,
            **self.arguments(keep),
            cost=None,
            females=self.females,
            males=self.males,
        )
