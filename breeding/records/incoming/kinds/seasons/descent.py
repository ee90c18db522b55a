"""Births in parts, in each of which nobody stems from young that a birth of it may change."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.services import young_of
from breeding.records.incoming.kinds.kind import Facts


@dataclass
class _Part:
    """The births of a part so far: who is named in them, and who stems from their young."""

    rows: list[Facts] = field(default_factory=list)
    parents: set[int] = field(default_factory=set)
    young: set[int] = field(default_factory=set)
    behind: set[int] = field(default_factory=set)

    def takes(self, parents: set[int], young: set[int], behind: set[int]) -> bool:
        """Whether what is judged of one more does not rest on the births before it in the part."""
        return not (
            parents & (self.young | self.behind)
            or young & (self.parents | self.behind)
            or behind & self.young
        )

    def add(self, facts: Facts, parents: set[int], young: set[int], behind: set[int]) -> None:
        self.rows.append(facts)
        self.parents |= parents
        self.young |= young
        self.behind |= behind


def in_order_of_descent(
    rows: Sequence[Facts], young: Sequence[Collection[Animal]]
) -> Iterator[list[Facts]]:
    """The rows in their order: a part ends before one that rests on what a birth of it changes.

    young: of each row those on record that become pups of it.
    """
    descendants = _descendants({one.pk for of_row in young for one in of_row})
    part = _Part()
    for facts, of_row in zip(rows, young, strict=True):
        parents = {one.pk for one in (facts["dam"], facts["sire"]) if one is not None}
        keys = {one.pk for one in of_row}
        behind = {key for one in keys for key in descendants.get(one, ())}
        if not part.takes(parents, keys, behind):
            yield part.rows
            part = _Part()
        part.add(facts, parents, keys, behind)
    if part.rows:
        yield part.rows


def _descendants(keys: Collection[int]) -> Mapping[int, frozenset[int]]:
    """Of those of these who have young."""
    have_young = {parent for of_each in young_of(keys).values() for parent in of_each}
    return {key: lineage.descendants(key) for key in have_young}
