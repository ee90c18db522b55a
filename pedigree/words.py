"""Figures of lineage in sentences; names are handed in, numbers rounded only here."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from pedigree.explain.paths import CommonAncestor, Explanation
from pedigree.figures.completeness import KnownAncestors
from pedigree.figures.crosses import Cross
from pedigree.figures.uncertain_sires import PossibleInbreeding

Names = Mapping[Any, str]

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
_OLDER = ("", "the parent", "a grandparent", "a great-grandparent")
_YOUNGER = ("", "offspring", "grandchildren", "great-grandchildren")


def percent(value: Fraction | float) -> str:
    """A share in percent: as it is with up to three decimals, else three figures and "about".

    >>> percent(Fraction(1, 32)), percent(Fraction(1, 3)), percent(Fraction(1, 2**30))
    ('3.125 %', 'about 33.3 %', 'less than 0.001 %')
    """
    hundredfold = Fraction(value) * 100
    thousandths = hundredfold * 1000
    if thousandths.denominator == 1:
        return f"{float(hundredfold):.3f}".rstrip("0").rstrip(".") + " %"
    if 0 < thousandths < 1:
        return "less than 0.001 %"
    rounded = float(f"{float(hundredfold):.3g}")
    return f"about {rounded:.3f}".rstrip("0").rstrip(".") + " %"


def number(value: int) -> str:
    """Up to ten in letters, larger ones in figures.

    >>> number(3), number(12_000)
    ('three', '12,000')
    """
    return _NUMBERS[value] if 0 <= value < len(_NUMBERS) else f"{value:,}"


def explanation_sentences(why: Explanation, names: Names, *, most: int = 6) -> tuple[str, ...]:
    """Why young of two animals are inbred: a sentence for each common ancestor, largest first.

    After `most` of them one sentence sums up the rest, and another the lines that were left out
    as too long, so that the parts always make up the whole. An animal without a name in `names`
    is called by its id.

    >>> from pedigree import Pedigree, explain
    >>> ped = Pedigree.from_rows([("v", None, None), ("a", None, "v"), ("s", None, "v"),
    ...                           ("d", "a", None), ("m", None, "s")])
    >>> named = {"v": "Vega", "d": "Deneb", "m": "Mira"}
    >>> explanation_sentences(explain(ped, "d", "m"), named)[0]
    'Deneb and Mira are both grandchildren of Vega: one line, two steps on each side, 3.125 %.'
    """
    sire, dam = _name(names, why.sire), _name(names, why.dam)
    if not why.ancestors and not why.remainder:
        return (f"{sire} and {dam} have no common ancestor that is known: 0 %.",)
    sentences = [
        _of_ancestor(one, sire, dam, names, certain=why.certain or _has_certain_lines(one))
        for one in why.ancestors[:most]
    ]
    rest = why.ancestors[most:]
    if rest:
        added = percent(sum((one.contribution for one in rest), Fraction(0)))
        lines = sum(one.path_count for one in rest)
        further = f"{number(lines)} further line{'' if lines == 1 else 's'}"
        who = "ancestor adds" if len(rest) == 1 else "ancestors add"
        sentences.append(
            f"{_capital(number(len(rest)))} more common {who} {added} together, by {further}."
        )
    if why.remainder:
        sentences.append(f"Longer lines add {percent(why.remainder)}.")
    return tuple(sentences)


def _has_certain_lines(one: CommonAncestor) -> bool:
    """Whether it adds all that its lines would if each of them were certain."""
    ways = sum(Fraction(count, 1 << up + down) for (up, down), count in one.paths.items())
    return one.contribution == ways / 2 * (1 + one.inbreeding)


def _of_ancestor(one: CommonAncestor, sire: str, dam: str, names: Names, *, certain: bool) -> str:
    ancestor = _name(names, one.id)
    lengths = sorted(one.paths, key=lambda steps: (sum(steps), steps))
    kin = _relation(lengths, ancestor, sire, dam, certain=certain)
    count = one.path_count
    lines = f"{number(count)} {'possible ' if not certain else ''}line{'s' if count > 1 else ''}"
    if len(lengths) == 1:
        steps = _steps(*lengths[0], sire, dam)
    else:
        steps = f"{number(sum(lengths[0]))} to {number(sum(lengths[-1]))} steps long"
        if sum(lengths[0]) == sum(lengths[-1]):
            steps = f"each {number(sum(lengths[0]))} steps long"
    inbred = ""
    if one.inbreeding:
        inbred = f"; {ancestor} is inbred too, F {percent(one.inbreeding)}"
    expected = "" if certain else "expected "
    return f"{kin}: {lines}, {steps}, {expected}{percent(one.contribution)}{inbred}."


def _relation(
    lengths: Sequence[tuple[int, int]], ancestor: str, sire: str, dam: str, *, certain: bool
) -> str:
    up, down = lengths[0]
    if not certain:  # which of the lines holds is not known, so neither is what the two are
        if up == 0 or down == 0:
            return f"{dam if up == 0 else sire} may descend from {ancestor}"
        return f"{sire} and {dam} may both descend from {ancestor}"
    if len(lengths) > 1 or max(up, down) > 3:
        if up == 0 or down == 0:
            return f"{dam if up == 0 else sire} descends from {ancestor}"
        return f"{sire} and {dam} both descend from {ancestor}"
    if up == 0 or down == 0:
        return f"{ancestor} is {_OLDER[max(up, down)]} of {dam if up == 0 else sire}"
    if up == down:
        return f"{sire} and {dam} are both {_YOUNGER[up]} of {ancestor}"
    return f"{ancestor} is {_OLDER[up]} of {sire} and {_OLDER[down]} of {dam}"


def _steps(up: int, down: int, sire: str, dam: str) -> str:
    def steps(count: int) -> str:
        return f"{number(count)} step{'' if count == 1 else 's'}"

    if up == down:
        return f"{steps(up)} on each side"
    if up == 0 or down == 0:
        return f"{steps(max(up, down))} from {dam if up == 0 else sire}"
    return f"{steps(up)} from {sire}, {number(down)} from {dam}"


def possible_sentence(found: PossibleInbreeding, names: Names, *, of: str = "") -> str:
    """Expected F and its range when the sire is one of several; `of` says whose sire.

    >>> found = PossibleInbreeding(Fraction(1, 8), {"a": Fraction(1, 4), "r": Fraction(0)},
    ...                            {"a": Fraction(1, 2), "r": Fraction(1, 2)})
    >>> possible_sentence(found, {"a": "Altair", "r": "Rigel"})
    'Expected 12.5 %: from 0 % if Rigel is the sire to 25 % if it is Altair.'
    """

    def who(f: Fraction) -> str:
        sire = next(sire for sire, value in found.by_sire.items() if value == f)
        return "another male" if sire is None else _name(names, sire)

    whose = f" of {of}" if of else ""
    if found.lowest == found.highest:
        return f"{_capital(percent(found.expected))}, whoever of them is the sire{whose}."
    return (
        f"Expected {percent(found.expected)}: from {percent(found.lowest)} if {who(found.lowest)} "
        f"is the sire{whose} to {percent(found.highest)} if it is {who(found.highest)}."
    )


def known_sentence(known: Sequence[KnownAncestors]) -> str:
    """How much of the ancestry a figure rests on.

    >>> known_sentence([KnownAncestors(1, Fraction(2), 2), KnownAncestors(2, Fraction(1), 4)])
    '3 of 6 possible ancestors in two generations are known.'
    """
    possible = sum(one.possible for one in known)
    found = sum((one.known for one in known), Fraction(0))
    generations = "one generation" if len(known) == 1 else f"{number(len(known))} generations"
    shares = "" if found.denominator == 1 else ", uncertain sires counted by their share"
    return (
        f"{_capital(known_count(found, possible))} of {possible} possible ancestors in "
        f"{generations} are known{shares}."
    )


def known_count(known: Fraction, possible: int) -> str:
    """How many places are known, in whole ones: "about" where uncertain sires leave a part.

    A part is never rounded to none of the places or to all of them.

    >>> known_count(Fraction(3), 6), known_count(Fraction(26, 5), 14)
    ('3', 'about 5')
    >>> known_count(Fraction(1, 4), 2), known_count(Fraction(69, 5), 14)
    ('less than 1', 'more than 13')
    """
    if known.denominator == 1:
        return str(known)
    nearest = round(known)
    if nearest == 0:
        return "less than 1"
    return f"more than {possible - 1}" if nearest == possible else f"about {nearest}"


def cross_words(cross: Cross | None, names: Names) -> str:
    """What an animal is by descent.

    >>> cross_words(Cross("BC", 1, ("l", "m"), "m"), {"l": "P. leopoldi", "m": "P. motoro"})
    'first backcross of P. leopoldi and P. motoro to P. motoro'
    """
    if cross is None:
        return "no simple cross, or not all of its ancestry is known"
    labels = [_name(names, label) for label in cross.labels]
    if cross.kind == "pure":
        return f"pure {labels[0]}"
    of = f"of {labels[0]} and {labels[1]}"
    if cross.kind == "F":
        return f"F{cross.number} {of}"
    nth = _ORDINALS[cross.number - 1] if cross.number <= len(_ORDINALS) else f"{cross.number}th"
    return f"{nth} backcross {of} to {_name(names, cross.to)}"


def captivity_words(generation: int | None) -> str:
    """Generation in captivity.

    >>> captivity_words(0), captivity_words(2), captivity_words(None)
    ('wild caught', 'second generation in captivity', 'generation in captivity unknown')
    """
    if generation is None:
        return "generation in captivity unknown"
    if generation == 0:
        return "wild caught"
    if generation <= len(_ORDINALS):
        return f"{_ORDINALS[generation - 1]} generation in captivity"
    return f"{generation} generations in captivity"


def _name(names: Names, animal: Any) -> str:
    return names.get(animal) or str(animal)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
