"""Two files side by side: who of them are one animal, and how near kin those are it is about."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from breeding.exchange.ancestry import Word, merged
from breeding.exchange.ancestry.claims import code_of
from breeding.exchange.ancestry.merged import Contradiction
from breeding.sheets.sealing.key_lines import NO_LINES, KeyLines
from breeding.words.language import tell
from breeding.words.numbers import percent
from pedigree import LineageError

MOST_NAMED = 20  # of the animals that a file is about


@dataclass(frozen=True)
class KinOfTwo:
    """How near kin two animals are by what is said of both; also the F of their young.

    shared: how many animals both files speak of. is_known: neither is without any known parent.
    is_one: by both files together the two are the same animal.
    """

    one: str
    other: str
    kinship: float
    shared: int
    is_known: bool
    contradictions: tuple[Contradiction, ...]
    called: Mapping[str, str] = field(default_factory=dict)
    is_one: bool = False

    @property
    def has_doubt(self) -> bool:
        """Whether what is not known could make them nearer kin than is said."""
        return not self.is_one and (self.is_known or self.kinship > 0)

    @property
    def sentence(self) -> str:
        """In words, with its doubt."""
        one, other = (self.called.get(each, code_of(each)) for each in (self.one, self.other))
        if self.is_one:
            return tell(
                "Both files are about the same animal, {one}. Choose the file of another one.",
                one=one,
            )
        said = {"one": one, "other": other, "f": percent(self.kinship)}
        if self.kinship > 0:
            return tell("Young of {one} and {other} would have F {f}.", **said)
        if not self.is_known:
            return tell(
                "Nothing is known of the parents of one of the two, so kinship of {one} and "
                "{other} cannot be seen.",
                **said,
            )
        return tell("No common ancestor of {one} and {other} is on record.", **said)


def kin_of_two(
    first: Word,
    second: Word,
    keys: KeyLines = NO_LINES,
    called: Mapping[str, str] | None = None,
) -> list[KinOfTwo]:
    """Each animal that the one was given for with each of the other, the first 20 of each.

    keys: what is known of keys besides what the two pass on. called: names of animals by their
    identities, else their codes are said. Raises LineageError.
    """
    together = merged([first, second], keys=keys)
    here = {together.names[claim.identity] for claim in first.claims}
    there = {together.names[claim.identity] for claim in second.claims}
    return [
        KinOfTwo(
            one,
            other,
            together.kinship(one, other),
            len(here & there),
            all(together.animals[together.names[each]].parents for each in (one, other)),
            together.contradictions,
            called or {},
            together.names[one] == together.names[other],
        )
        for one in first.about[:MOST_NAMED]
        for other in second.about[:MOST_NAMED]
        if one in together.names and other in together.names
    ]


__all__ = ["KinOfTwo", "LineageError", "kin_of_two"]
