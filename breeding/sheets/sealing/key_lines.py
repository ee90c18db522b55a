"""Which keys are one program's, one after the other, and which are not to be relied on; pure.

Everything follows from the set of signed words and from what the reader was told, by rules that
know no order: words that come in another order, twice or late give the same.

- A key takes another's place where both signed that, or where the reader was told so.
- Where two keys say that they take the same place, neither does, until the reader was told which.
- A key is disowned by itself or by one that took its place; the earliest day counts, so that
  nobody who stole a key can put the day off.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from breeding.sheets.sealing.key_words import DISOWNED, LOST, SUCCEEDS, KeyWord
from breeding.sheets.sealing.seal import fingerprint

Key = str
Pair = tuple[str, str]
A_DAY = len("2024-05-11")


@dataclass(frozen=True)
class KeyLines:
    """The words, and what the reader was told in another way.

    told: pairs of fingerprints, of a key and of the one that stands for it now. trusted:
    fingerprints that the reader was told. seen: further keys that fingerprints may be of.
    """

    words: frozenset[KeyWord] = frozenset()
    told: frozenset[Pair] = frozenset()
    trusted: frozenset[str] = frozenset()
    seen: frozenset[Key] = field(default=frozenset(), compare=False)

    def with_words(self, words: Iterable[KeyWord], seen: Iterable[Key] = ()) -> "KeyLines":
        """The same with more words, and more keys that fingerprints may be of."""
        return KeyLines(
            self.words | frozenset(words), self.told, self.trusted, self.seen | frozenset(seen)
        )

    def root(self, key: Key) -> Key:
        """The first key of its line, which stands for the program; the key itself without one."""
        line, one = [key], key
        while (one := self._before.get(one, "")) and one not in line:
            line.append(one)
        return min(line) if one else line[-1]

    def is_one(self, one: Key, other: Key) -> bool:
        """Whether both are keys of one program."""
        return one == other or self.root(one) == self.root(other)

    def later(self, key: Key) -> tuple[Key, ...]:
        """The keys that took its place, one after the other."""
        line: list[Key] = []
        while (key := self._after.get(key, "")) and key not in line:
            line.append(key)
        return tuple(line)

    def line(self, key: Key) -> tuple[Key, ...]:
        """Every key of its program, the first of them first."""
        root = self.root(key)
        return tuple(dict.fromkeys((root, *self.later(root))))

    def successor(self, key: Key) -> Key:
        """The key that took its place; empty where none did."""
        return self._after.get(key, "")

    def predecessor(self, key: Key) -> Key:
        """The key whose place it took; empty where it took none."""
        return self._before.get(key, "")

    def rivals(self, key: Key) -> tuple[Key, ...]:
        """Two keys or more that say they take its place, while none of them counts."""
        said = self._signed_after.get(key, frozenset())
        return tuple(sorted(said)) if len(said) > 1 and key not in self._after else ()

    def given_up_on(self, key: Key) -> str:
        """The day on which it gave its place to another; empty where it did not, or was told."""
        after = self.successor(key)
        days = [w.on for w in self.words if (w.says, w.key, w.by) == (SUCCEEDS, key, after)]
        return min(days, default="")

    def claims_lost(self, key: Key) -> tuple[Key, ...]:
        """Keys for which it says to stand, being lost, without this being proved or told."""
        said = {w.key for w in self.words if w.says == LOST and w.by == key}
        return tuple(sorted(one for one in said if not self.is_one(one, key)))

    def disowned_from(self, key: Key) -> str:
        """The day from which on what it signs is not its owner's; empty: none."""
        return self._disowned.get(key, "")

    def is_disowned(self, key: Key, on: str) -> bool:
        """Whether what it signed on a day (also only a month, a year or nothing) is disowned."""
        since = self.disowned_from(key)
        return bool(since) and on.ljust(A_DAY, "~") >= since

    @cached_property
    def _keys(self) -> Mapping[str, Key]:
        """Keys by their fingerprints."""
        said = {key for word in self.words for key in (word.key, word.by)}
        return {fingerprint(key): key for key in said | self.seen}

    @cached_property
    def _signed_after(self) -> Mapping[Key, frozenset[Key]]:
        found: dict[Key, set[Key]] = {}
        for word in self.words:
            if word.says == SUCCEEDS:
                found.setdefault(word.key, set()).add(word.by)
        return {key: frozenset(after) for key, after in found.items()}

    @cached_property
    def _after(self) -> Mapping[Key, Key]:
        """The one key that took the place of each, where there is one."""
        told: dict[Key, set[Key]] = {}
        for one, other in self.told:
            if one in self._keys and other in self._keys:
                told.setdefault(self._keys[one], set()).add(self._keys[other])
        found: dict[Key, Key] = {}
        for key in {*told, *self._signed_after}:
            said = told.get(key) or self._signed_after.get(key, frozenset())
            if len(said) > 1:
                said = {one for one in said if fingerprint(one) in self.trusted}
            if len(said) == 1:
                (found[key],) = said
        return {key: one for one, key in _single(found, told).items()}

    @cached_property
    def _before(self) -> Mapping[Key, Key]:
        return {one: key for key, one in self._after.items()}

    @cached_property
    def _disowned(self) -> Mapping[Key, str]:
        found: dict[Key, str] = {}
        for word in self.words:
            if word.says != DISOWNED:
                continue
            if word.by == word.key or word.by in self.later(word.key):
                found[word.key] = min(found.get(word.key, word.since), word.since)
        return found


def _single(after: Mapping[Key, Key], told: Mapping[Key, set[Key]]) -> dict[Key, Key]:
    """By each later key the one whose place it took; none where several say it took theirs."""
    before: dict[Key, set[Key]] = {}
    for key, one in after.items():
        before.setdefault(one, set()).add(key)
    found = {}
    for one, keys in before.items():
        by_word = {key for key in keys if one in told.get(key, ())} or keys
        if len(by_word) == 1:
            (found[one],) = by_word
    return found


NO_LINES = KeyLines()
