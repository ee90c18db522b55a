"""Births in parts, in each of which nobody stems from young that a birth of it may change."""

from collections.abc import Collection, Iterator, Sequence
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

    young: of each row those on record that become pups of it. Each part is written before the next
    one is asked for: who stems from whom is another then.
    """
    descent, part = _Descent({one.pk for of_row in young for one in of_row}), _Part()
    for facts, of_row in zip(rows, young, strict=True):
        parents = {one.pk for one in (facts["dam"], facts["sire"]) if one is not None}
        keys = {one.pk for one in of_row}
        if not part.takes(parents, keys, descent.behind(keys)):
            yield part.rows
            descent.read_again(part.parents)
            part = _Part()
        part.add(facts, parents, keys, descent.behind(keys))
    if part.rows:
        yield part.rows


class _Descent:
    """Who stems from each of some animals, by what is on record; asked only of those with young."""

    def __init__(self, keys: Collection[int]) -> None:
        self._parents = {parent for of_each in young_of(keys).values() for parent in of_each}
        self._descendants: dict[int, frozenset[int]] = {}

    def behind(self, keys: Collection[int]) -> set[int]:
        """Who stems from any of these."""
        found: set[int] = set()
        for key in self._parents.intersection(keys):
            if key not in self._descendants:
                self._descendants[key] = lineage.descendants(key)
            found |= self._descendants[key]
        return found

    def read_again(self, parents: Collection[int]) -> None:
        """Births were written that may have given these further young."""
        self._parents.update(parents)
        self._descendants = {}
