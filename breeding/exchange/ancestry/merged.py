"""What several words say together: each animal once, contradictions side by side; pure.

The state is the set of the words. Everything else follows from it by rules that know no order, so
that words merged in any order, twice or in parts, give the same, and a word taken out leaves what
there would be without it.

Who is one animal: two identities are one where a reader confirmed it, or where the programs of
both keys say so. One program alone cannot make another's animal its own. A program that changed
its key is the same program, and its animals are the same: see `sheets/sealing/key_lines.py`.

What a key signed on a day from which on it is disowned is left out, whoever took it.

Whose word counts where two differ: of an animal, the program that named it first; then the later
word; then, so that the choice is always the same, the one whose bytes come first in order.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from breeding.exchange.ancestry.claims import Claim, Identity, Word, code_of, key_of
from breeding.exchange.ancestry.rows import rows_of
from breeding.sheets.sealing.key_lines import NO_LINES, KeyLines
from pedigree import LineageLoop, Pedigree

FACTS = ("sex", "born", "died", "sires", "dam", "species")
Pairs = Iterable[tuple[Identity, Identity]]


@dataclass(frozen=True)
class Said:
    """One value of one fact, and the keys of the programs that say it."""

    value: Any
    keys: tuple[str, ...]


@dataclass(frozen=True)
class Contradiction:
    """Programs differ on one fact of one animal; the first value is the one that counts."""

    animal: Identity
    fact: str
    said: tuple[Said, ...]


@dataclass(frozen=True)
class Merged:
    """Animals by one identity each, with what counts of them.

    names: every identity of each animal, by each of them the one it goes by here.
    """

    animals: Mapping[Identity, Claim]
    names: Mapping[Identity, Identity]
    contradictions: tuple[Contradiction, ...]

    @cached_property
    def pedigree(self) -> Pedigree:
        """Their lineage. Raises LineageLoop naming the animals when the words make a loop."""
        return Pedigree.from_rows(rows_of(self.animals.values()))

    def kinship(self, one: Identity, other: Identity) -> float:
        """Of two animals by any of their identities: also the F of any young of the two.

        Raises KeyError for an animal nobody speaks of, LineageLoop.
        """
        return self.pedigree.kinship(self.names[one], self.names[other])

    def is_one(self, one: Identity, other: Identity) -> bool:
        """Whether two identities are of one animal."""
        return one in self.names and self.names[one] == self.names.get(other)


def merged(words: Iterable[Word], *, same: Pairs = (), keys: KeyLines = NO_LINES) -> Merged:
    """What these words say together.

    same: identities that a reader confirmed to be one. keys: what the reader knows of keys besides
    what the words pass on of them. Cost: linear in the claims, but for sorting.
    """
    words = {word.digest or word: word for word in words}.values()
    lines = lines_of(words, keys)
    ordered = sorted(
        (word for word in words if not lines.is_disowned(word.key, word.issued_on)), key=_order
    )
    names = _names(ordered, same, lines)
    claims: dict[Identity, list[tuple[Word, Claim]]] = {}
    for word in ordered:
        for claim in word.claims:
            claims.setdefault(names[claim.identity], []).append((word, _renamed(claim, names)))
    animals, contradictions = {}, []
    for animal in sorted(claims):
        said = sorted(claims[animal], key=lambda pair: _weight(pair[0], pair[1], lines))
        animals[animal] = _together(animal, [claim for _, claim in said])
        contradictions += _contradictions(animal, said, lines)
    spoken_of = {one: name for one, name in names.items() if name in animals}
    return Merged(animals, spoken_of, tuple(contradictions))


def lines_of(words: Iterable[Word], keys: KeyLines = NO_LINES) -> KeyLines:
    """What is known of keys with all that these words pass on."""
    words = tuple(words)
    return keys.with_words(
        (said for word in words for said in word.keys), seen=(word.key for word in words)
    )


def _order(word: Word) -> tuple[str, ...]:
    return (word.issued_on, word.key, word.digest)


def _weight(word: Word, claim: Claim, lines: KeyLines) -> tuple[Any, ...]:
    """Sorted first: the program's own animal, then the latest word, then any fixed order."""
    days = tuple(-int(part) for part in word.issued_on.split("-") if part)
    return (not lines.is_one(key_of(claim.identity), word.key), days, word.key, word.digest)


def _names(words: Iterable[Word], same: Pairs, lines: KeyLines) -> dict[Identity, Identity]:
    """Every identity, of parents too, with the one its animal goes by: the first in order."""
    words = tuple(words)
    groups = _Groups()
    stated = {
        (claim.identity, other, lines.root(word.key))
        for word in words
        for claim in word.claims
        for other in claim.also
    }
    by_owner = {(one, other) for one, other, key in stated if lines.root(key_of(one)) == key} | {
        (other, one) for one, other, key in stated if lines.root(key_of(other)) == key
    }
    for word in words:
        for claim in word.claims:
            for one in (claim.identity, *claim.parents):
                groups.join(one, one)
    for one, other in by_owner:
        if (other, one) in by_owner or lines.is_one(key_of(one), key_of(other)):
            groups.join(one, other)
    for one, other in same:
        groups.join(one, other)
    _join_across_keys(groups, lines)
    return groups.firsts()


def _join_across_keys(groups: "_Groups", lines: KeyLines) -> None:
    """One code under two keys of one program is one animal."""
    first: dict[tuple[str, str], Identity] = {}
    for one in groups.everybody():
        groups.join(one, first.setdefault((lines.root(key_of(one)), code_of(one)), one))


class _Groups:
    """Sets that are joined: union and find."""

    def __init__(self) -> None:
        self._up: dict[Identity, Identity] = {}

    def join(self, one: Identity, other: Identity) -> None:
        first, second = sorted((self._top(one), self._top(other)))
        self._up[second] = first

    def _top(self, one: Identity) -> Identity:
        self._up.setdefault(one, one)
        while self._up[one] != one:
            self._up[one] = self._up[self._up[one]]
            one = self._up[one]
        return one

    def everybody(self) -> list[Identity]:
        return list(self._up)

    def firsts(self) -> dict[Identity, Identity]:
        return {one: self._top(one) for one in list(self._up)}


def _renamed(claim: Claim, names: Mapping[Identity, Identity]) -> Claim:
    """Its parents by the identities they go by; its own stays, which says whose claim it is."""
    sires: dict[Identity, Any] = {}
    for sire, share in claim.sires:
        name = names.get(sire, sire)
        sires[name] = sires.get(name, 0) + share
    dam = names.get(claim.dam, claim.dam)
    return replace(claim, sires=tuple(sorted(sires.items())), dam=dam)


def _together(animal: Identity, claims: list[Claim]) -> Claim:
    """What counts of one animal: of each fact the first that is said at all."""
    facts = {name: _first(claims, name) for name in (*FACTS, "name", "spots", "measured")}
    also = tuple(sorted({one.identity for one in claims} - {animal}))
    wild = any(claim.is_wild for claim in claims) and not facts["sires"] and not facts["dam"]
    return Claim(animal, is_wild=wild, also=also, **facts)


def _first(claims: list[Claim], name: str) -> Any:
    nothing = Claim.__dataclass_fields__[name].default
    return next((found for one in claims if (found := getattr(one, name)) != nothing), nothing)


def _contradictions(
    animal: Identity, said: list[tuple[Word, Claim]], lines: KeyLines
) -> list[Contradiction]:
    found = []
    for fact in FACTS:
        nothing = Claim.__dataclass_fields__[fact].default
        values: dict[Any, list[str]] = {}
        for word, claim in said:
            if (value := getattr(claim, fact)) != nothing:
                values.setdefault(value, []).append(word.key)
        told = list(values)
        if fact in ("born", "died"):
            told = _not_only_coarser(told)
        keys = {lines.root(key) for value in told for key in values[value]}
        if len(told) > 1 and (len(keys) > 1 or fact in ("sex", "sires", "dam")):
            rows = tuple(Said(value, tuple(sorted(set(values[value])))) for value in told)
            found.append(Contradiction(animal, fact, rows))
    return found


def _not_only_coarser(days: list[str]) -> list[str]:
    """Without those that only say a year or month of which another says the day."""
    return [
        one
        for one in days
        if not any(other != one and other.startswith(f"{one}-") for other in days)
    ]


__all__ = ["Contradiction", "LineageLoop", "Merged", "Said", "lines_of", "merged"]
