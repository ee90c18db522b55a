"""Species in an animal: its shares, the cross it is, and how far single animals lie from that."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from breeding.words.descent.who import Names, called
from breeding.words.language import message, says, tell, tell_as, tell_many
from breeding.words.numbers import figure, joined, ordinal, part, percent, spelled
from breeding.words.style import SHEET, Style
from pedigree import Cross, Spread, UnknownPart, is_hybrid
from pedigree.figures.spread import CHROMOSOME_PAIRS

Shares = Mapping[Any, Fraction]  # the label None is the unknown part
Species = Mapping[Any, str]

MOST_SOURCES = 3
TWO_DEVIATIONS = 2  # about 95 of 100 animals


@says
def shares_words(shares: Shares, species: Species) -> str:
    """Species shares in short: the largest first, the unknown part last.

    >>> shares_words({1: Fraction(1)}, {1: "P. motoro"})
    'P. motoro'
    >>> shares_words({1: Fraction(1, 2), 2: Fraction(1, 4), None: Fraction(1, 4)},
    ...              {1: "P. motoro", 2: "P. leopoldi"})
    '1/2 P. motoro, 1/4 P. leopoldi, 1/4 unknown'
    """
    known = _ordered(shares, species)
    if not known:
        return tell("unknown")
    if known[0][1] == 1:
        return species[known[0][0]]
    parts = [f"{share} {species[label]}" for label, share in known]
    if rest := _unknown(shares):
        parts.append(tell("{share} unknown", share=rest))
    return ", ".join(parts)


def _ordered(shares: Shares, species: Species) -> list[tuple[Any, Fraction]]:
    known = [(label, share) for label, share in shares.items() if label is not None and share]
    return sorted(known, key=lambda item: (-item[1], species[item[0]]))


def _unknown(shares: Shares) -> Fraction:
    return 1 - sum((share for label, share in shares.items() if label is not None), Fraction(0))


@says
def shares_sentence(
    shares: Shares,
    species: Species,
    unknown: Sequence[UnknownPart],
    names: Names,
    *,
    cross: Cross | None = None,
    is_founder: bool = False,
) -> str:
    """Expected species shares as exact fractions, and through whom the unknown part came.

    >>> from breeding.words.descent.who import Who
    >>> shares_sentence({1: Fraction(7, 8), None: Fraction(1, 8)}, {1: "P. motoro"},
    ...                 [UnknownPart("i", "sire", Fraction(1, 8))], {"i": Who("Izar")})
    '7/8 P. motoro expected; the last eighth came through an unknown male (the sire of Izar)'
    """
    known, rest = _ordered(shares, species), _unknown(shares)
    if not known:
        if is_founder:
            return tell("species not recorded")
        return tell(
            "unknown: all of its ancestry came through {animals}", animals=_sources(unknown, names)
        )
    if known[0][1] == 1:
        return species[known[0][0]]
    words = joined([f"{share} {species[label]}" for label, share in known])
    if cross is not None and (cross.kind, cross.number) == ("F", 1):
        return tell("{species}, the first cross of two species", species=words)
    if not rest:
        return tell("{species} expected", species=words)
    if is_founder:
        return tell(
            "{species} expected; the last {part} is not recorded", species=words, part=part(rest)
        )
    return tell(
        "{species} expected; the last {part} came through {animals}",
        species=words,
        part=part(rest),
        animals=_sources(unknown, names),
    )


@says
def _sources(unknown: Sequence[UnknownPart], names: Names) -> str:
    said = [(_source(one, names), one.share) for one in unknown]
    said.sort(key=lambda item: (-item[1], item[0]))
    if len(said) == 1:
        return said[0][0]
    shown = [f"{words} ({share})" for words, share in said[:MOST_SOURCES]]
    if rest := said[MOST_SOURCES:]:
        more = tell_many(
            "{count} more ancestor ({share})",
            "{count} more ancestors ({share})",
            len(rest),
            count=spelled(len(rest)),
            share=sum((share for _, share in rest), Fraction(0)),
        )
        shown.append(more)
    return joined(shown)


def _source(one: UnknownPart, names: Names) -> str:
    name = called(one.animal, names)
    if one.parent == "sire":
        return tell("an unknown male (the sire of {animal})", animal=name)
    if one.parent:
        return tell("an unknown female (the dam of {animal})", animal=name)
    if one.is_partly:
        return tell("{animal}, whose species is only partly recorded", animal=name)
    return tell("{animal}, whose species is not recorded", animal=name)


# ------------------------------------------------------------------------------------ the cross


def cross_words(cross: Cross, species: Species) -> str:
    """What an animal is by descent, where that has a short name.

    >>> cross_words(Cross("BC", 1, ("l", "m"), "m"), {"l": "P. leopoldi", "m": "P. motoro"})
    'first backcross of P. leopoldi and P. motoro to P. motoro'
    """
    labels = [species[label] for label in cross.labels]
    if cross.kind == "pure":
        return tell("pure {species}", species=labels[0])
    one, other = labels
    if cross.kind == "F":
        return tell("F{number} of {one} and {other}", number=cross.number, one=one, other=other)
    return tell(
        "{ordinal} backcross of {one} and {other} to {species}",
        ordinal=ordinal(cross.number),
        one=one,
        other=other,
        species=species[cross.to],
    )


# Why descent is not known: of what may be pure, and of what is a hybrid in any case.
NOT_KNOWN = {
    "sire": (
        message("whether pure or crossed is not known: a sire may be of one species or another"),
        message("a hybrid, of which species is not known: a sire may be of one species or another"),
    ),
    "mixed": (
        message("whether pure or crossed is not known: a founder is on record as mixed"),
        message("a hybrid, of which species is not known: a founder is on record as mixed"),
    ),
    "none": (
        message("whether pure or crossed is not known: no species is known"),
        message("a hybrid, of which species is not known: no species is known"),
    ),
    "part": (
        message("whether pure or crossed is not known: {share} of the ancestry is unknown"),
        message("a hybrid, of which species is not known: {share} of the ancestry is unknown"),
    ),
}


def descent_words(
    cross: Cross | None,
    why_none: str | None,
    shares: Shares,
    species: Species,
) -> str:
    """Pure, F1, backcross and so on; where that is not known, why; `why_none` of why_no_cross.

    >>> descent_words(None, "unknown", {1: Fraction(5, 8), None: Fraction(3, 8)}, {1: "P. motoro"})
    'whether pure or crossed is not known: 3/8 of the ancestry is unknown'
    >>> descent_words(None, "no name", {1: Fraction(5, 8), 2: Fraction(3, 8)}, {})
    'a cross that has no short name such as F2 or backcross'
    """
    if cross is not None:
        return cross_words(cross, species)
    if why_none == "no name":
        return tell("a cross that has no short name such as F2 or backcross")
    unknown = _unknown(shares)
    why = why_none if why_none in ("sire", "mixed") else "part"
    pure, hybrid = NOT_KNOWN["none" if unknown == 1 else why]
    return tell(hybrid if is_hybrid(shares) else pure, share=unknown)


# ------------------------------------------------------------------------------------ the spread


@dataclass(frozen=True)
class SpreadWords:
    """How firm the shares are, and what that rests on; both empty where there is nothing to say."""

    words: str = ""
    assumed: str = ""

    @property
    def sentence(self) -> str:
        """Both in one, for where nothing is folded away."""
        return f"{self.words} ({self.assumed})" if self.assumed else self.words


HOW_FAR = {
    "unknown": message(
        "how far single animals lie from this cannot be said while a part of their ancestry is "
        "unknown"
    ),
    "uncertain": message(
        "how far single animals lie from this cannot be said while a sire is uncertain"
    ),
    "settled": message(
        "a first cross has exactly one half of each species, its sex chromosomes aside"
    ),
}


def spread_words(found: Spread | None, species: Species, style: Style = SHEET) -> SpreadWords:
    """How far one animal of a cross may lie from its expected shares.

    >>> spread_words(Spread("uncertain"), {}).words
    'how far single animals lie from this cannot be said while a sire is uncertain'
    """
    if found is None:
        return SpreadWords()
    if said := HOW_FAR.get(found.kind):
        return SpreadWords(style.close(tell(said)))
    ordered = sorted(found.deviations, key=lambda one: (-one[1], species[one[0]]))
    varying = [one for one in ordered if one[2] > 1e-9]
    shown = varying[:1] if len(ordered) == 2 else varying  # of two, one says it of the other
    if not shown:
        return SpreadWords()
    ranges = joined([_between(share, spread, species[label]) for label, share, spread in shown])
    said = tell(_differ(found.is_upper_limit, len(shown) > 1), ranges=ranges)
    return SpreadWords(style.close(said), style.close(_assumed(found)))


def _differ(is_upper_limit: bool, several: bool) -> str:
    if is_upper_limit and several:
        return message(
            "single animals differ: of 100 animals bred like this about 95 or more have {ranges}, "
            "each of these taken by itself"
        )
    if is_upper_limit:
        return message(
            "single animals differ: of 100 animals bred like this about 95 or more have {ranges}"
        )
    if several:
        return message(
            "single animals differ: of 100 animals bred like this about 95 have {ranges}, "
            "each of these taken by itself"
        )
    return message("single animals differ: of 100 animals bred like this about 95 have {ranges}")


@says
def _assumed(found: Spread) -> str:
    """Clauses that each stand by themselves."""
    said = []
    if found.mixed is not None:
        share = percent(round(found.mixed, 6))
        said.append(tell("at {share} of the genes one copy of each is expected", share=share))
    reckoned = tell(
        "worked out with {pairs} pairs of chromosomes of one Morgan each, passed on like about "
        "{segments} independent segments, an assumption: nobody has published a map for these "
        "species",
        pairs=CHROMOSOME_PAIRS,
        segments=figure(found.segments),
    )
    said.append(reckoned)
    if found.has_mixed_founder:
        said.append(tell("a founder on record as mixed is taken for a random mixture"))
    return "; ".join(said)


@says
def _between(share: Fraction, spread: float, name: str) -> str:
    low, high = (
        max(0.0, min(1.0, float(share) + side * TWO_DEVIATIONS * spread)) for side in (-1, 1)
    )
    return tell(
        "between {least} and {most} {species}",
        least=_points(low),
        most=_points(high),
        species=name,
    )


def _points(value: float) -> str:
    decimals = 0 if value >= 0.02 or not value else 1
    return tell_as("a share", "{number} %", number=figure(100 * value, decimals))
