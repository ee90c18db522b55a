"""Inbreeding in words: what F is, between what it may lie, what it compares to, through whom."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from breeding.words.descent.ancestry import basis_words, is_known_in_full
from breeding.words.descent.who import Names, all_called, called
from breeding.words.language import message, says, tell
from breeding.words.numbers import figure, joined, per_cent_figure, percent
from pedigree import (
    Inbred,
    InbreedingRange,
    KnownAncestors,
)

# Expected F of the young of each pairing, standard results of kinship (Wright 1922,
# Am. Nat. 56:330-338; the values also in Lange, Applied Probability, table 5.1).
CLOSENESS = (  # said of just this F, and of more
    (
        Fraction(1, 4),
        message("as close as full siblings, or parent and young"),
        message("closer than full siblings, or parent and young"),
    ),
    (
        Fraction(1, 8),
        message("as close as half siblings"),
        message("closer than half siblings"),
    ),
    (
        Fraction(1, 16),
        message("as close as first cousins"),
        message("closer than first cousins"),
    ),
    (
        Fraction(1, 64),
        message("as close as second cousins"),
        message("closer than second cousins"),
    ),
)
LONGEST_DENOMINATOR = 512
MOST_SIRES = 4  # possible sires of one animal that are named with the F under each


def closeness(inbreeding: float | Fraction) -> str:
    """What a coefficient means: which pairing of two otherwise unrelated animals gives it.

    >>> closeness(0.125), closeness(0.1875), closeness(0.0)
    ('as close as half siblings', 'closer than half siblings', 'no common ancestor on record')
    """
    if inbreeding <= 0:
        return tell("no common ancestor on record")
    for value, alike, closer in CLOSENESS:
        if inbreeding == value:
            return tell(alike)
        if inbreeding > value:
            return tell(closer)
    return tell("less close than second cousins")


@says
def figure_words(inbreeding: float | Fraction) -> str:
    """F with its plain fraction, where that is short enough to say something.

    >>> figure_words(0.1875), figure_words(0)
    ('18.75 % (3/16)', '0 %')
    """
    exact = Fraction(inbreeding)
    fraction = f" ({exact})" if 1 < exact.denominator <= LONGEST_DENOMINATOR else ""
    return f"{percent(inbreeding)}{fraction}"


# ---------------------------------------------------------------------------------- how large F is


@dataclass(frozen=True)
class InbreedingWords:
    """F in one sentence: `figure` is its beginning, which a page may set in bold."""

    figure: str
    rest: str

    @property
    def sentence(self) -> str:
        return f"{self.figure}{self.rest}"

    @classmethod
    def parted(cls, sentence: str) -> "InbreedingWords":
        """Of a sentence in which a bar stands behind its figure.

        >>> InbreedingWords.parted("12.5 %|, as close as half siblings")
        InbreedingWords(figure='12.5 %', rest=', as close as half siblings')
        """
        figure, _, rest = sentence.partition("|")
        return cls(figure, rest)


def inbreeding_words(
    found: Inbred, known: Sequence[KnownAncestors], names: Names
) -> InbreedingWords:
    """F of an animal, what it compares to and how much ancestry it rests on.

    It cannot be told with an unknown parent. With uncertain sires the range comes first and then
    the mean, and no mean is called a lower bound.
    """
    basis, in_full = basis_words(known), is_known_in_full(known)
    if not found.can_be_told:
        return InbreedingWords.parted(tell(_unknown_parents(found), basis=basis))
    if not found.expected:
        return InbreedingWords.parted(tell(_nothing(in_full, len(found.under) > 1), basis=basis))
    if not found.is_settled:
        return _ranged(found, names, basis, in_full)
    said = tell(
        _settled(in_full, found.ways is None),
        figure=figure_words(found.expected),
        sires=_whose(found, names),
        closeness=closeness(found.expected),
        basis=basis,
    )
    return InbreedingWords.parted(said)


def _unknown_parents(found: Inbred) -> str:
    if not found.sire_is_known and not found.dam_is_known:
        return message("cannot be told| while both parents are unknown: at least 0 %, {basis}")
    if found.sire_is_known:
        return message("cannot be told| while the dam is unknown: at least 0 %, {basis}")
    return message("cannot be told| while the sire is unknown: at least 0 %, {basis}")


def _nothing(in_full: bool, several_sires: bool) -> str:
    if in_full and not several_sires:
        return message("0 %|: no common ancestor of the parents is on record, {basis}")
    if in_full:
        return message(
            "0 %|, whoever of the possible sires it was: no common ancestor of the parents is on "
            "record, {basis}"
        )
    if not several_sires:
        return message(
            "0 %| as far as is known: no common ancestor of the parents is on record, {basis}"
        )
    return message(
        "0 %| as far as is known, whoever of the possible sires it was: no common ancestor of the "
        "parents is on record, {basis}"
    )


def _settled(in_full: bool, by_one_sire: bool) -> str:
    if in_full and by_one_sire:
        return message("{figure}|, {closeness}, {basis}")
    if in_full:
        return message("{figure}|, whoever was {sires}, {closeness}, {basis}")
    if by_one_sire:
        return message("at least {figure}|, {closeness}, {basis}")
    return message("at least {figure}|, whoever was {sires}, {closeness}, {basis}")


def short_words(found: Inbred) -> str:
    """F where there is room for a figure only, with what it may be where it is not settled.

    >>> short_words(Inbred(1, True, False))
    'at least 0 %'
    >>> short_words(Inbred(1, True, True, expected=Fraction(3, 16)))
    '18.75 %'
    """
    if not found.can_be_told:
        return tell("at least {share}", share=percent(0))
    if found.is_settled:
        return percent(found.expected)
    ways, expected = found.ways, percent(found.expected)
    if ways is None or not ways.cases:
        return tell("{share} expected", share=expected)
    return tell(
        "{lowest} to {highest}, {share} expected",
        lowest=per_cent_figure(ways.lowest[0]),
        highest=percent(ways.highest[0]),
        share=expected,
    )


def short_meaning(found: Inbred) -> str:
    """The same with what it compares to; a mean of several cases compares to nothing.

    >>> short_meaning(Inbred(1, True, True, expected=Fraction(1, 8)))
    '12.5 %, as close as half siblings'
    """
    said = short_words(found)
    is_one = found.can_be_told and found.is_settled
    if not is_one:
        return said
    return tell("{share}, {closeness}", share=said, closeness=closeness(found.expected))


def _ranged(found: Inbred, names: Names, basis: str, in_full: bool) -> InbreedingWords:
    """The range, then the mean."""
    ways = found.ways
    facts = {"expected": figure_words(found.expected), "basis": basis}
    if ways is None or not ways.cases:
        said = tell(
            _too_many_ways(in_full),
            sires=_whose(found, names),
            number=figure(ways.ways if ways else 0, grouped=True),
            **facts,
        )
        return InbreedingWords.parted(said)
    facts |= {"lowest": percent(ways.lowest[0]), "highest": percent(ways.highest[0])}
    if len(ways.uncertain) == 1:
        return InbreedingWords.parted(
            tell(_from_to_by_case(in_full), cases=_under_each(found, ways, names), **facts)
        )
    return InbreedingWords.parted(tell(_from_to(in_full), sires=_whose(found, names), **facts))


def _too_many_ways(in_full: bool) -> str:
    if in_full:
        return message(
            "too many ways for a range|: {sires} may have been in {number} ways; {expected} "
            "expected by the shares of the possible sires, {basis}"
        )
    return message(
        "too many ways for a range|: {sires} may have been in {number} ways; {expected} "
        "expected by the shares of the possible sires as far as is known, {basis}"
    )


def _from_to_by_case(in_full: bool) -> str:
    if in_full:
        return message(
            "from {lowest} to {highest}|: {cases}; {expected} expected by the shares of the "
            "possible sires, {basis}"
        )
    return message(
        "from {lowest} to {highest}|: {cases}; {expected} expected by the shares of the "
        "possible sires as far as is known, {basis}"
    )


def _from_to(in_full: bool) -> str:
    if in_full:
        return message(
            "from {lowest} to {highest}|, depending on who was {sires}; {expected} expected by "
            "the shares of the possible sires, {basis}"
        )
    return message(
        "from {lowest} to {highest}|, depending on who was {sires}; {expected} expected by "
        "the shares of the possible sires as far as is known, {basis}"
    )


def _under_each(found: Inbred, ways: InbreedingRange, names: Names) -> str:
    """F under each possible sire of one animal, the highest first."""
    (one,) = ways.uncertain
    cases = sorted(ways.cases, key=lambda case: (-case[0], -one.shares[case[1][0]]))
    shown = cases if len(cases) <= MOST_SIRES else [cases[0], cases[-1]]
    its_own = found.animal in one.young
    parts = [
        tell(
            _case(is_first=number == 0, its_own=its_own, related=bool(inbreeding)),
            share=percent(inbreeding),
            closeness=closeness(inbreeding),
            young=all_called(one.young, names),
            animal=tell("another male") if sire is None else called(sire, names),
        )
        for number, (inbreeding, (sire,)) in enumerate(shown)
    ]
    return joined(parts)


def _case(*, is_first: bool, its_own: bool, related: bool) -> str:
    if not is_first:
        if related:
            return message("{share}, {closeness}, if he is {animal}")
        return message("{share} if he is {animal}")
    if its_own:
        if related:
            return message("{share}, {closeness}, if the sire is {animal}")
        return message("{share} if the sire is {animal}")
    if related:
        return message("{share}, {closeness}, if the sire of {young} is {animal}")
    return message("{share} if the sire of {young} is {animal}")


def _whose(found: Inbred, names: Names) -> str:
    """Whose sires are uncertain."""
    if found.ways is None:
        return ""
    young = [key for one in found.ways.uncertain for key in one.young]
    others = [key for key in young if key != found.animal]
    parts = [tell("its own sire")] if found.animal in young else []
    if others:
        parts.append(tell("the sire of {animals}", animals=all_called(others, names)))
    return joined(parts)
