"""What is known of an animal's ancestry, in words a keeper reads."""

from collections.abc import Mapping
from fractions import Fraction

from breeding.animals.known import Known
from breeding.animals.sire_range import InbreedingRange
from breeding.program.formats import joined, percent
from pedigree import Cross, PossibleInbreeding
from pedigree.words import cross_words, possible_sentence

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


def inbreeding_words(inbreeding: float | Fraction, known: Known) -> str:
    """F with its plain fraction, where that is short enough to say something.

    >>> from pedigree import KnownAncestors
    >>> whole = Known((KnownAncestors(1, Fraction(2), 2),), 1.0, 1.0)
    >>> half = Known((KnownAncestors(1, Fraction(1), 2),), 0.5, 0.0)
    >>> inbreeding_words(0.125, whole), inbreeding_words(0.125, half)
    ('12.5 % (1/8)', 'at least 12.5 % (1/8)')
    """
    least = "at least " if inbreeding and known.places < known.possible else ""
    exact = Fraction(inbreeding)
    fraction = f" ({exact})" if 1 < exact.denominator <= LONGEST_DENOMINATOR else ""
    return f"{least}{percent(inbreeding)}{fraction}"


def descent_words(
    cross: Cross | None, shares: Mapping[int | None, Fraction], names: Mapping[int, str]
) -> str:
    """Pure, F1, backcross and so on; where it is not determined, why not.

    >>> descent_words(None, {1: Fraction(5, 8), None: Fraction(3, 8)}, {1: "P. motoro"})
    'pure or crossed is not determined: 3/8 of the ancestry is unknown'
    """
    if cross is not None:
        return cross_words(cross, names)
    unknown = shares.get(None, Fraction(0))
    if unknown == 1:
        return "pure or crossed is not determined: no species is known"
    if unknown:
        what = "a hybrid, of which kind" if is_hybrid(shares) else "pure or crossed"
        return f"{what} is not determined: {unknown} of the ancestry is unknown"
    return "a cross that has no short name such as F2 or backcross"


def range_words(
    found: InbreedingRange, animal: int, expected: Fraction, names: Mapping[int, str]
) -> str:
    """Expected F and how low and high it may be; empty when no uncertain sire bears on it.

    >>> from breeding.animals.sire_range import UncertainSire
    >>> half = Fraction(1, 2)
    >>> one = UncertainSire((7,), {1: half, 2: half})
    >>> found = InbreedingRange((one,), 2, ((0.25, (1,)), (0.0, (2,))))
    >>> range_words(found, 9, Fraction(1, 8), {1: "Altair", 2: "Rigel", 7: "Izar"})
    'Expected 12.5 %: from 0 % if Rigel is the sire of Izar to 25 % if it is Altair.'
    """
    if not found.uncertain or (found.cases and not found.highest[0]):
        return ""
    sired = joined([names[key] for one in found.uncertain for key in one.young if key != animal])
    if not found.cases:
        return (
            f"Expected {percent(expected)}; the sires of {sired} leave {found.ways:,} "
            "possibilities, too many to say how low or high it may be."
        )
    lowest, highest = Fraction(found.lowest[0]), Fraction(found.highest[0])
    if len(found.uncertain) == 1:
        one = found.uncertain[0]
        by_sire = {chosen[0]: Fraction(value) for value, chosen in found.cases}
        of = "" if animal in one.young else sired
        return possible_sentence(PossibleInbreeding(expected, by_sire, one.shares), names, of=of)
    if lowest == highest:
        return ""
    own = any(animal in one.young for one in found.uncertain)
    whose = f"its own sire and those of {sired}" if own else f"the sires of {sired}"
    return (
        f"Expected {percent(expected)}: from {percent(lowest)} to {percent(highest)}, depending "
        f"on {whose}."
    )
