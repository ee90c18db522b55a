"""Inbreeding in words: what F is, between what it may lie, what it compares to, through whom."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from breeding.words.ancestry import basis_words, is_known_in_full
from breeding.words.numbers import (
    counted,
    joined,
    one_or_more,
    per_cent_figure,
    percent,
    some,
    spelled,
)
from breeding.words.style import SHEET, Style
from breeding.words.who import Names, all_called, called, sex_of
from pedigree import (
    CommonAncestor,
    Explanation,
    Inbred,
    InbreedingRange,
    KnownAncestors,
    Unrecorded,
)

# Expected F of the young of each pairing, standard results of kinship (Wright 1922,
# Am. Nat. 56:330-338; the values also in Lange, Applied Probability, table 5.1).
CLOSENESS = (
    (Fraction(1, 4), "full siblings, or parent and young"),
    (Fraction(1, 8), "half siblings"),
    (Fraction(1, 16), "first cousins"),
    (Fraction(1, 64), "second cousins"),
)
LONGEST_DENOMINATOR = 512
MOST_MEMBERS = 4  # common ancestors alike that are named in one sentence
MOST_SIRES = 4  # possible sires of one animal that are named with the F under each


def closeness(inbreeding: float | Fraction) -> str:
    """What a coefficient means: which pairing of two otherwise unrelated animals gives it.

    >>> closeness(0.125), closeness(0.1875), closeness(0.0)
    ('as close as half siblings', 'closer than half siblings', 'no common ancestor on record')
    """
    if inbreeding <= 0:
        return "no common ancestor on record"
    for value, who in CLOSENESS:
        if inbreeding == value:
            return f"as close as {who}"
        if inbreeding > value:
            return f"closer than {who}"
    return "less close than second cousins"


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


def inbreeding_words(
    found: Inbred, known: Sequence[KnownAncestors], names: Names
) -> InbreedingWords:
    """F of an animal, what it compares to and how much ancestry it rests on.

    It cannot be told with an unknown parent. With uncertain sires the range comes first and then
    the mean, and no mean is called a lower bound.
    """
    basis = basis_words(known)
    hedge = "" if is_known_in_full(known) else " as far as is known"
    if not found.can_be_told:
        return InbreedingWords(
            "cannot be told", f" while {_unknown_parents(found)} unknown: at least 0 %, {basis}"
        )
    if not found.expected:
        whoever = ", whoever of the possible sires it was" if len(found.under) > 1 else ""
        return InbreedingWords(
            "0 %",
            f"{hedge}{whoever}: no common ancestor of the parents is on record, {basis}",
        )
    if found.is_settled:
        least = "at least " if hedge else ""
        whoever = "" if found.ways is None else f", whoever was {_whose(found, names)}"
        return InbreedingWords(
            f"{least}{figure_words(found.expected)}",
            f"{whoever}, {closeness(found.expected)}, {basis}",
        )
    return _ranged(found, names, f"{hedge}, {basis}")


def short_words(found: Inbred) -> str:
    """F where there is room for a figure only, with what it may be where it is not settled.

    >>> short_words(Inbred(1, True, False))
    'at least 0 %'
    >>> short_words(Inbred(1, True, True, expected=Fraction(3, 16)))
    '18.75 %'
    """
    if not found.can_be_told:
        return "at least 0 %"
    if found.is_settled:
        return percent(found.expected)
    ways = found.ways
    if ways is None or not ways.cases:
        return f"{percent(found.expected)} expected"
    lowest, highest = per_cent_figure(ways.lowest[0]), percent(ways.highest[0])
    return f"{lowest} to {highest}, {percent(found.expected)} expected"


def short_meaning(found: Inbred) -> str:
    """The same with what it compares to; a mean of several cases compares to nothing.

    >>> short_meaning(Inbred(1, True, True, expected=Fraction(1, 8)))
    '12.5 %, as close as half siblings'
    """
    said = short_words(found)
    is_one = found.can_be_told and found.is_settled
    return f"{said}, {closeness(found.expected)}" if is_one else said


def _unknown_parents(found: Inbred) -> str:
    if not found.sire_is_known and not found.dam_is_known:
        return "both parents are"
    return "the dam is" if found.sire_is_known else "the sire is"


def _ranged(found: Inbred, names: Names, ending: str) -> InbreedingWords:
    """The range, then the mean."""
    ways = found.ways
    expected = f"{figure_words(found.expected)} expected by the shares of the possible sires"
    if ways is None or not ways.cases:
        number = f"{ways.ways if ways else 0:,} ways"
        return InbreedingWords(
            "too many ways for a range",
            f": {_whose(found, names)} may have been in {number}; {expected}{ending}",
        )
    lowest, highest = (percent(case[0]) for case in (ways.lowest, ways.highest))
    under = f", depending on who was {_whose(found, names)}"
    if len(ways.uncertain) == 1:
        under = f": {_under_each(found, ways, names)}"
    return InbreedingWords(f"from {lowest} to {highest}", f"{under}; {expected}{ending}")


def _under_each(found: Inbred, ways: InbreedingRange, names: Names) -> str:
    """F under each possible sire of one animal, the highest first."""
    (one,) = ways.uncertain
    of = "" if found.animal in one.young else f" of {all_called(one.young, names)}"
    cases = sorted(ways.cases, key=lambda case: (-case[0], -one.shares[case[1][0]]))
    shown = cases if len(cases) <= MOST_SIRES else [cases[0], cases[-1]]
    parts: list[str] = []
    for inbreeding, (sire,) in shown:
        meaning = f", {closeness(inbreeding)}," if inbreeding else ""
        subject = f"the sire{of}" if not parts else "he"
        who = "another male" if sire is None else called(sire, names)
        parts.append(f"{percent(inbreeding)}{meaning} if {subject} is {who}")
    return joined(parts)


def _whose(found: Inbred, names: Names) -> str:
    """Whose sires are uncertain."""
    if found.ways is None:
        return ""
    young = [key for one in found.ways.uncertain for key in one.young]
    others = [key for key in young if key != found.animal]
    parts = ["its own sire"] if found.animal in young else []
    if others:
        parts.append(f"the sire of {all_called(others, names)}")
    return joined(parts)


# ------------------------------------------------------------------------------- through whom F is


@dataclass(frozen=True)
class _Group:
    """Common ancestors with the same lines and the same part of F: most often a pair."""

    members: tuple[CommonAncestor, ...]
    is_certain: bool

    @property
    def contribution(self) -> Fraction:
        return sum((one.contribution for one in self.members), Fraction(0))


def reason_sentences(
    why: Explanation, names: Names, style: Style = SHEET, *, most: int | None = None
) -> tuple[str, ...]:
    """Why young of two animals are inbred, the largest part of F first, the rest summed.

    A line through a sire who may be one of several is a possible one, and said to be. The parts
    always make up the whole.

    >>> from pedigree import Pedigree, explain
    >>> from breeding.words.who import Who
    >>> half = Fraction(1, 2)
    >>> ped = Pedigree.from_rows([("a", None, None), ("r", None, None), ("s", "a", None),
    ...                           ("d", {"a": half, "r": half}, None)])
    >>> reason_sentences(explain(ped, "s", "d"), {"a": Who("Altair", "M")})
    ('Altair may be the sire of both parents (6.25 % expected)',)
    """
    if not why.inbreeding:
        return ()
    shown = style.most_reasons if most is None else most
    groups = sorted(_grouped(why), key=lambda one: -one.contribution)
    sentences = [_sentence(why, group, names, style) for group in groups[:shown]]
    rest = [one for group in groups[shown:] for one in group.members]
    if rest:
        added = percent(sum((one.contribution for one in rest), Fraction(0)))
        who = counted(len(rest), "more common ancestor", spells=True)
        lines = counted(sum(one.path_count for one in rest), "further line", spells=True)
        verb = one_or_more(len(rest), "adds", "add")
        together = "" if len(rest) == 1 else " together"
        sentences.append(f"{who} {verb} {added}{together}, by {lines}")
    if why.remainder:
        sentences.append(f"longer lines add {percent(why.remainder)}")
    return tuple(style.close(one) for one in sentences)


def _grouped(why: Explanation) -> list[_Group]:
    groups: dict[Any, list[CommonAncestor]] = {}
    for one in why.ancestors:
        certain = why.certain or _has_certain_lines(one)
        itself = one.id if one.id in (why.sire, why.dam) else None
        alike = (
            one.contribution,
            one.inbreeding,
            tuple(sorted(one.paths.items())),
            certain,
            itself,
        )
        groups.setdefault(alike, []).append(one)
    return [_Group(tuple(members), alike[3]) for alike, members in groups.items()]


def _has_certain_lines(one: CommonAncestor) -> bool:
    """Whether it adds all that its lines would if each of them were certain."""
    ways = sum(Fraction(count, 1 << up + down) for (up, down), count in one.paths.items())
    return one.contribution == ways / 2 * (1 + one.inbreeding)


def _sentence(why: Explanation, group: _Group, names: Names, style: Style) -> str:
    first, number = group.members[0], len(group.members)
    members = sorted(group.members, key=lambda one: _named_first(one.id, names))
    who = some([called(one.id, names) for one in members], MOST_MEMBERS, style)
    is_are = one_or_more(number, "is", "are") if group.is_certain else "may be"
    sex = sex_of(first.id, names) if number == 1 else "U"
    relation = _relation(why, first, who, is_are, sex, number, names)
    inbred = ""
    if first.inbreeding:
        inbred = f", {one_or_more(number, 'itself', 'themselves')} inbred"
        inbred += f" (F {percent(first.inbreeding)})"
    together = "together " if number > 1 else ""
    expected = "" if group.is_certain else " expected"
    share = f"({together}{percent(group.contribution)}{expected})"
    return f"{relation}{_lines(first, number, group.is_certain)}{inbred} {share}"


def _named_first(animal: Any, names: Names) -> tuple[bool, bool, str]:
    """Males before females, and those nobody wrote down last."""
    is_unrecorded = isinstance(animal, Unrecorded)
    return is_unrecorded, sex_of(animal, names) != "M", called(animal, names)


def _relation(
    why: Explanation,
    first: CommonAncestor,
    who: str,
    is_are: str,
    sex: str,
    number: int,
    names: Names,
) -> str:
    """What they are to the parents by the shortest of the lines."""
    sire, dam = called(why.sire, names), called(why.dam, names)
    up, down = min(first.paths, key=lambda steps: (sum(steps), steps))
    also = "may also be" if is_are == "may be" else "is also"
    if first.id == why.sire:
        return f"the sire, {who}, {also} {_kinship(down, sex)} of {dam}"
    if first.id == why.dam:
        return f"the dam, {who}, {also} {_kinship(up, sex)} of {sire}"
    if up == down:
        return f"{who} {is_are} {_kinship(up, sex, number)} of both parents"
    return (
        f"{who} {is_are} {_kinship(up, sex, number)} of {sire} and "
        f"{_kinship(down, sex, number)} of {dam}"
    )


def _kinship(steps: int, sex: str, number: int = 1) -> str:
    """ "the sire", "a granddam", "great-grandparents", "ancestors four generations back"."""
    if steps > 3:
        back = f"{counted(steps, 'generation', spells=True)} back"
        return f"an ancestor {back}" if number == 1 else f"ancestors {back}"
    word = {"M": "sire", "F": "dam"}.get(sex, "parent")
    word = ("", "", "grand", "great-grand")[steps] + word
    if number > 1:
        return f"the {word}s" if steps == 1 else f"{word}s"
    return f"{'the' if steps == 1 else 'a'} {word}"


def _lines(one: CommonAncestor, number: int, is_certain: bool) -> str:
    """How many lines there are and how long, when it is more than the one that was said."""
    if one.path_count == 1:
        return ""
    possible = "" if is_certain else "possible "
    lengths = sorted(sum(steps) for steps in one.paths)
    long = f"{spelled(lengths[0])} to {counted(lengths[-1], 'step', spells=True)}"
    if lengths[0] == lengths[-1]:
        long = counted(lengths[0], "step", spells=True)
    each = " for each" if number > 1 else ""
    return f", by {spelled(one.path_count)} {possible}lines of {long} in all{each}"


def with_reasons(said: InbreedingWords, reasons: Sequence[tuple[str, Sequence[str]]]) -> str:
    """F and through whom it is, in one piece; each of `reasons` under the heading it holds for.

    >>> with_reasons(InbreedingWords("12.5 %", ""), [("", ["Altair is the sire of both parents"])])
    '12.5 %: Altair is the sire of both parents'
    """
    parts = []
    for under, sentences in reasons:
        if sentences:
            parts.append(f"{f'if {under}, ' if under else ''}{'; '.join(sentences)}")
    return f"{said.sentence}: {'; '.join(parts)}" if parts else said.sentence


def sire_heading(sire: Any, share: Fraction, names: Names) -> str:
    """Under which possible sire the reasons hold; empty when there is only one.

    >>> from breeding.words.who import Who
    >>> sire_heading("a", Fraction(3, 4), {"a": Who("Altair")})
    'Altair is the sire (3/4)'
    """
    return "" if share == 1 else f"{called(sire, names)} is the sire ({share})"
