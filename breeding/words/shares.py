"""Species in an animal: its shares, the cross it is, and how far single animals lie from that."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from breeding.words.numbers import counted, joined, ordinal, part, percent
from breeding.words.style import SHEET, Style
from breeding.words.who import Names, called
from pedigree import Cross, Spread, UnknownPart, is_hybrid
from pedigree.figures.spread import CHROMOSOME_PAIRS

Shares = Mapping[Any, Fraction]  # the label None is the unknown part
Species = Mapping[Any, str]

MOST_SOURCES = 3
TWO_DEVIATIONS = 2  # about 95 of 100 animals


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
        return "unknown"
    if known[0][1] == 1:
        return species[known[0][0]]
    parts = [f"{share} {species[label]}" for label, share in known]
    if rest := _unknown(shares):
        parts.append(f"{rest} unknown")
    return ", ".join(parts)


def _ordered(shares: Shares, species: Species) -> list[tuple[Any, Fraction]]:
    known = [(label, share) for label, share in shares.items() if label is not None and share]
    return sorted(known, key=lambda item: (-item[1], species[item[0]]))


def _unknown(shares: Shares) -> Fraction:
    return 1 - sum((share for label, share in shares.items() if label is not None), Fraction(0))


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

    >>> from breeding.words.who import Who
    >>> shares_sentence({1: Fraction(7, 8), None: Fraction(1, 8)}, {1: "P. motoro"},
    ...                 [UnknownPart("i", "sire", Fraction(1, 8))], {"i": Who("Izar")})
    '7/8 P. motoro expected; the last eighth came through an unknown male (the sire of Izar)'
    """
    known, rest = _ordered(shares, species), _unknown(shares)
    if not known:
        through = _sources(unknown, names)
        said = f"unknown: all of its ancestry came through {through}"
        return "species not recorded" if is_founder else said
    if known[0][1] == 1:
        return species[known[0][0]]
    words = joined([f"{share} {species[label]}" for label, share in known])
    if cross is not None and (cross.kind, cross.number) == ("F", 1):
        return f"{words}, the first cross of two species"
    words += " expected"
    if rest:
        how = "is not recorded" if is_founder else f"came through {_sources(unknown, names)}"
        words += f"; the last {part(rest)} {how}"
    return words


def _sources(unknown: Sequence[UnknownPart], names: Names) -> str:
    said = [(_source(one, names), one.share) for one in unknown]
    said.sort(key=lambda item: (-item[1], item[0]))
    if len(said) == 1:
        return said[0][0]
    shown = [f"{words} ({share})" for words, share in said[:MOST_SOURCES]]
    if rest := said[MOST_SOURCES:]:
        total = sum((share for _, share in rest), Fraction(0))
        more = counted(len(rest), "more ancestor", spells=True)
        shown.append(f"{more} ({total})")
    return joined(shown)


def _source(one: UnknownPart, names: Names) -> str:
    name = called(one.animal, names)
    if one.parent:
        sex = "male" if one.parent == "sire" else "female"
        return f"an unknown {sex} (the {one.parent} of {name})"
    how = "only partly recorded" if one.is_partly else "not recorded"
    return f"{name}, whose species is {how}"


# ------------------------------------------------------------------------------------ the cross


def cross_words(cross: Cross, species: Species) -> str:
    """What an animal is by descent, where that has a short name.

    >>> cross_words(Cross("BC", 1, ("l", "m"), "m"), {"l": "P. leopoldi", "m": "P. motoro"})
    'first backcross of P. leopoldi and P. motoro to P. motoro'
    """
    labels = [species[label] for label in cross.labels]
    if cross.kind == "pure":
        return f"pure {labels[0]}"
    of = f"of {labels[0]} and {labels[1]}"
    if cross.kind == "F":
        return f"F{cross.number} {of}"
    return f"{ordinal(cross.number)} backcross {of} to {species[cross.to]}"


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
        return "a cross that has no short name such as F2 or backcross"
    what = "a hybrid, of which kind" if is_hybrid(shares) else "whether pure or crossed"
    unknown = _unknown(shares)
    why = {
        "sire": "a sire may be of one kind or of another",
        "mixed": "a founder is on record as mixed",
    }.get(why_none or "", f"{unknown} of the ancestry is unknown")
    if unknown == 1:
        why = "no species is known"
    return f"{what} is not known: {why}"


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


def spread_words(found: Spread | None, species: Species, style: Style = SHEET) -> SpreadWords:
    """How far one animal of a cross may lie from its expected shares.

    >>> spread_words(Spread("uncertain"), {}).words
    'how far single animals lie from this cannot be said while a sire is uncertain'
    """
    if found is None:
        return SpreadWords()
    why = {
        "unknown": "while a part of their ancestry is unknown",
        "uncertain": "while a sire is uncertain",
    }.get(found.kind)
    if why:
        said = f"how far single animals lie from this cannot be said {why}"
        return SpreadWords(style.close(said))
    if found.kind == "settled":
        said = "a first cross has exactly one half of each species, its sex chromosomes aside"
        return SpreadWords(style.close(said))
    ordered = sorted(found.deviations, key=lambda one: (-one[1], species[one[0]]))
    varying = [one for one in ordered if one[2] > 1e-9]
    shown = varying[:1] if len(ordered) == 2 else varying  # of two, one says it of the other
    if not shown:
        return SpreadWords()
    ranges = joined([_between(share, spread, species[label]) for label, share, spread in shown])
    number = "about 95 or more" if found.is_upper_limit else "about 95"
    each = ", each of these taken by itself" if len(shown) > 1 else ""
    said = f"single animals differ: of 100 animals bred like this {number} have {ranges}{each}"
    return SpreadWords(style.close(said), style.close(_assumed(found)))


def _assumed(found: Spread) -> str:
    copies = ""
    if found.mixed is not None:
        copies = f"at {percent(round(found.mixed, 6))} of the genes one copy of each is expected; "
    founder = ""
    if found.has_mixed_founder:
        founder = "; a founder on record as mixed is taken for a random mixture"
    return (
        f"{copies}reckoned with {CHROMOSOME_PAIRS} pairs of chromosomes of one Morgan each, passed "
        f"on like about {found.segments:.0f} independent segments, an assumption: nobody has "
        f"published a map for these species{founder}"
    )


def _between(share: Fraction, spread: float, name: str) -> str:
    low, high = (
        max(0.0, min(1.0, float(share) + side * TWO_DEVIATIONS * spread)) for side in (-1, 1)
    )
    return f"between {_points(low)} % and {_points(high)} % {name}"


def _points(value: float) -> str:
    return f"{100 * value:.0f}" if value >= 0.02 or not value else f"{100 * value:.1f}"
