"""What is held of founders' kinship as it stands: what is assumed, and who came together."""

from collections.abc import Callable, Collection, Iterable, Mapping
from fractions import Fraction
from itertools import combinations
from typing import Any, NamedTuple

from breeding.animals.parents.assumed import AssumedKin
from pedigree import implied_kin
from pedigree.assumed import FULL, HALF_SIBLINGS, Assumed
from pedigree.rows import exact

KINSHIP = {AssumedKin.Degree.FULL: FULL, AssumedKin.Degree.HALF: HALF_SIBLINGS}

# Groups of animals that came from one seller on one day; rooms above know of that.
Together = Callable[[], Iterable[Collection[int]]]
_together: dict[str, Together] = {}
# The same of one seller on any day, those that came alone included.
_sellers: dict[str, Together] = {}


class Held(NamedTuple):
    """What a keeper holds two founders to be; no certainty: it is not known."""

    one: int
    other: int
    degree: str
    certainty: Fraction | None

    @property
    def is_unknown(self) -> bool:
        return self.degree == AssumedKin.Degree.UNKNOWN

    @property
    def kinship(self) -> Fraction:
        """Degree times certainty; what is not held of them counts as unrelated."""
        return KINSHIP.get(AssumedKin.Degree(self.degree), Fraction(0)) * (self.certainty or 0)


class FoundersKin(NamedTuple):
    """What is held of founders, which of them came together, and which from one seller at all."""

    held: Mapping[frozenset[int], Held] = {}
    together: tuple[frozenset[int], ...] = ()
    sellers: tuple[frozenset[int], ...] = ()

    def among(self, animals: Collection[int]) -> "FoundersKin":
        """The same for these alone."""
        groups = (group & frozenset(animals) for group in self.together)
        return FoundersKin(
            {pair: one for pair, one in self.held.items() if pair <= frozenset(animals)},
            tuple(group for group in groups if len(group) > 1),
            tuple(group & frozenset(animals) for group in self.sellers),
        )


def add_together(name: str, together: Together) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _together[name] = together


def add_sellers(name: str, sellers: Together) -> None:
    """The same, of groups from one seller on any day."""
    _sellers[name] = sellers


def founders_kin(founders: Collection[int]) -> FoundersKin:
    """Of those without a known parent; of others kin is known by their parents. Few queries."""
    rows = AssumedKin.objects.values_list("one_id", "other_id", "degree", "certainty")
    held = {
        frozenset((one, other)): Held(
            one, other, degree, None if certainty is None else exact(certainty)
        )
        for one, other, degree, certainty in rows
        if one in founders and other in founders
    }
    groups = (frozenset(some) & frozenset(founders) for ask in _together.values() for some in ask())
    sellers = (frozenset(some) & frozenset(founders) for ask in _sellers.values() for some in ask())
    return FoundersKin(
        held,
        tuple(group for group in groups if len(group) > 1),
        tuple(group for group in sellers if group),
    )


def assumed_of(held: Iterable[Held]) -> Assumed:
    """Kinship as a Pedigree takes it, with what follows from what is held of others."""
    known = [(one.one, one.other, one.kinship) for one in held if not one.is_unknown]
    return tuple((*sorted(pair), kinship) for pair, kinship in implied_kin(known).items())


def open_pairs(
    kin: FoundersKin, mine: Collection[int], yours: Collection[int], base: Mapping[int, Any]
) -> list[tuple[int, int]]:
    """Pairs of founders, one of each side, of whom nobody has said what they are to each other.

    Two of species that share none cannot be siblings, and are not asked about.
    """
    found: set[tuple[int, int]] = set()
    for group in kin.together:
        for one, other in combinations(sorted(group), 2):
            apart = (one in mine and other in yours) or (other in mine and one in yours)
            if apart and frozenset((one, other)) not in kin.held and _may_be_kin(one, other, base):
                found.add((one, other))
    for held in kin.held.values():
        one, other = held.one, held.other
        if held.is_unknown and (
            (one in mine and other in yours) or (other in mine and one in yours)
        ):
            found.add((one, other))
    return sorted(found)


def _may_be_kin(one: int, other: int, base: Mapping[int, Any]) -> bool:
    first, second = base.get(one), base.get(other)
    return not first or not second or not set(first).isdisjoint(second)
