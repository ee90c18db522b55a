"""What a look says of the copies, and what young with so many copies show: by each belief."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from pedigree import SexLinked, likelihoods

Likelihoods = tuple[float, float, float]
NOTHING: Likelihoods = (1.0, 1.0, 1.0)
SHOWS, TWICE, NOT, UNTOLD = "shows", "twice", "not", "untold"
TESTS = {"copies_0": "none", "copies_1": "one", "copies_2": "two"}
_CODOMINANT = {SHOWS: "one", TWICE: "two", NOT: "none"}
_OTHERS = {SHOWS: "shows", TWICE: "shows", NOT: "does not"}


@dataclass(frozen=True)
class Belief:
    """How a trait is believed to be inherited, and how common its gene is among founders."""

    inheritance: str  # as Trait.Inheritance
    one_copy: str  # as Trait.OneCopy
    founder_share: float

    @property
    def kind(self) -> str:
        """The same of a gene that both sexes have twice: recessive, dominant, codominant."""
        return self.inheritance.removeprefix("x_")

    @property
    def is_sex_linked(self) -> bool:
        return bool(self.one_copy)

    @property
    def showing(self) -> Likelihoods:
        """How likely a young with 0, 1, 2 copies shows it.

        >>> Belief("recessive", "", 0.1).showing
        (0.0, 0.0, 1.0)
        """
        return (0.0, 0.0 if self.kind == "recessive" else 1.0, 1.0)

    def has_one_copy(self, sex: str) -> bool:
        """Whether an animal of this sex, "F" or "M", has the gene once only."""
        return bool(self.one_copy) and sex == self.one_copy

    def sexes(self, females: Iterable[Any], males: Iterable[Any]) -> SexLinked | None:
        """As the arithmetic of lineage wants it; None where both sexes have two copies."""
        if not self.one_copy:
            return None
        return SexLinked.of(females, males, "males" if self.one_copy == "M" else "females")

    def said_by(self, seen: str, *, mistaken: float, has_one_copy: bool) -> Likelihoods:
        """How likely what was seen is with 0, 1, 2 copies.

        >>> Belief("recessive", "", 0.1).said_by("not", mistaken=0.0, has_one_copy=False)
        (1.0, 1.0, 0.0)
        >>> Belief("dominant", "", 0.1).said_by("copies_1", mistaken=0.02, has_one_copy=False)
        (0.01, 0.98, 0.01)
        """
        if seen == UNTOLD:
            return NOTHING
        if seen in TESTS:
            result = "two" if has_one_copy and seen != "copies_0" else TESTS[seen]
            return likelihoods("codominant", result, mistaken=mistaken, has_one_copy=has_one_copy)
        kind: Any = self.kind
        look = (_CODOMINANT if kind == "codominant" else _OTHERS)[seen]
        return likelihoods(kind, look, mistaken=mistaken, has_one_copy=has_one_copy)


def both(one: Likelihoods, other: Likelihoods) -> Likelihoods:
    """What two looks that know nothing of each other say together.

    >>> both((1.0, 1.0, 0.0), (0.01, 0.98, 0.01))
    (0.01, 0.98, 0.0)
    """
    zero, single, two = (a * b for a, b in zip(one, other, strict=True))
    return (zero, single, two)


def among_founders(belief: Belief) -> Likelihoods:
    """Chances of 0, 1, 2 copies of a founder on whom nothing was seen.

    >>> among_founders(Belief("recessive", "", 0.1))
    (0.81, 0.18, 0.01)
    """
    share = belief.founder_share
    zero, one, two = (1 - share) ** 2, 2 * share * (1 - share), share**2
    return (round(zero, 12), round(one, 12), round(two, 12))


def shows_in(chances: Sequence[float], belief: Belief, *, has_one_copy: bool) -> float:
    """The chance that an animal with these chances of copies shows it.

    >>> shows_in((0.25, 0.5, 0.25), Belief("recessive", "", 0.1), has_one_copy=False)
    0.25
    """
    hidden = belief.kind == "recessive" and not has_one_copy
    return float(chances[2] if hidden else chances[1] + chances[2])


def carries_in(chances: Sequence[float], belief: Belief, *, has_one_copy: bool) -> float:
    """The chance that it carries the gene and does not show it."""
    hidden = belief.kind == "recessive" and not has_one_copy
    return float(chances[1]) if hidden else 0.0
