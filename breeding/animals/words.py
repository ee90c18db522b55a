"""What is known of an animal's ancestry, in words a keeper reads."""

from collections.abc import Mapping
from fractions import Fraction

from breeding.program.formats import percent

# Expected F of the young of each pairing, standard results of kinship (Wright 1922,
# Am. Nat. 56:330-338; the values also in Lange, Applied Probability, table 5.1).
CLOSENESS = (
    (Fraction(1, 4), "full siblings, or parent and young"),
    (Fraction(1, 8), "half siblings"),
    (Fraction(1, 16), "first cousins"),
    (Fraction(1, 64), "second cousins"),
)


LONGEST_DENOMINATOR = 512


def closeness(inbreeding: float | Fraction) -> str:
    """What a coefficient means: which pairing of two otherwise unrelated animals gives it.

    >>> closeness(0.125)
    'as close as half siblings'
    >>> closeness(0.1875)
    'closer than half siblings'
    >>> closeness(0.0)
    'no common ancestor on record'
    """
    if inbreeding <= 0:
        return "no common ancestor on record"
    for value, who in CLOSENESS:
        if inbreeding == value:
            return f"as close as {who}"
        if inbreeding > value:
            return f"closer than {who}"
    return "less close than second cousins"


def ancestry(shares: Mapping[int | None, Fraction], names: Mapping[int, str]) -> str:
    """Species shares in words: the largest first, the unknown part last.

    >>> ancestry({1: Fraction(1)}, {1: "P. motoro"})
    'P. motoro'
    >>> ancestry({1: Fraction(1, 2), 2: Fraction(1, 4), None: Fraction(1, 4)},
    ...          {1: "P. motoro", 2: "P. leopoldi"})
    '1/2 P. motoro, 1/4 P. leopoldi, 1/4 unknown'
    """
    known = {label: share for label, share in shares.items() if label is not None and share}
    if not known:
        return "unknown"
    if list(known.values()) == [Fraction(1)]:
        return names[next(iter(known))]
    ordered = sorted(known.items(), key=lambda item: (-item[1], names[item[0]]))
    parts = [f"{share} {names[label]}" for label, share in ordered]
    if rest := 1 - sum(known.values(), Fraction(0)):
        parts.append(f"{rest} unknown")
    return ", ".join(parts)


def is_hybrid(shares: Mapping[int | None, Fraction]) -> bool:
    """Whether more than one species is known to be in its ancestry."""
    return sum(1 for label, share in shares.items() if label is not None and share) > 1


def inbreeding_words(inbreeding: float | Fraction, known: int, possible: int) -> str:
    """F with what it rests on: "at least 12.5 % (1/8), from 6 of 14 ...".

    The plain fraction stands beside it where it is short enough to say something.

    >>> inbreeding_words(0.125, 6, 14)
    'at least 12.5 % (1/8), from 6 of 14 possible ancestors'
    >>> inbreeding_words(0.0, 14, 14)
    '0 %, from 14 of 14 possible ancestors'
    """
    least = "at least " if inbreeding and known < possible else ""
    exact = Fraction(inbreeding)
    fraction = f" ({exact})" if 1 < exact.denominator <= LONGEST_DENOMINATOR else ""
    return f"{least}{percent(inbreeding)}{fraction}, from {known} of {possible} possible ancestors"
