"""Through which common ancestors young are inbred, the largest part of F first."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from breeding.words.descent.kin import InbreedingWords
from breeding.words.descent.through.lines import kinship, line_words
from breeding.words.descent.who import Names, called, sex_of
from breeding.words.language import message, message_many, says, tell, tell_many
from breeding.words.numbers import percent, some, spelled
from breeding.words.style import SHEET, Style
from pedigree import CommonAncestor, Explanation, Unrecorded

MOST_MEMBERS = 4  # common ancestors alike that are named in one sentence


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
    >>> from breeding.words.descent.who import Who
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
        sentences.append(_rest(rest))
    if why.remainder:
        sentences.append(tell("longer lines add {share}", share=percent(why.remainder)))
    return tuple(style.close(one) for one in sentences)


def _rest(ancestors: Sequence[CommonAncestor]) -> str:
    lines = sum(one.path_count for one in ancestors)
    further = tell_many(
        "{count} further line", "{count} further lines", lines, count=spelled(lines)
    )
    return tell_many(
        "{count} more common ancestor adds {share}, by {lines}",
        "{count} more common ancestors add {share} together, by {lines}",
        len(ancestors),
        count=spelled(len(ancestors)),
        share=percent(sum((one.contribution for one in ancestors), Fraction(0))),
        lines=further,
    )


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
    facts = {
        "relation": _relation(why, first, who, number, names, is_certain=group.is_certain),
        "lines": line_words(first, number, is_certain=group.is_certain),
        "inbred": "",
        "share": tell(_share(number, group.is_certain), share=percent(group.contribution)),
    }
    if first.inbreeding:
        facts["inbred"] = tell_many(
            "itself inbred (F {share})",
            "themselves inbred (F {share})",
            number,
            share=percent(first.inbreeding),
        )
    return tell(_with_details(bool(facts["lines"]), bool(facts["inbred"])), **facts)


def _with_details(lines: bool, inbred: bool) -> str:
    if lines and inbred:
        return message("{relation}, {lines}, {inbred} {share}")
    if lines:
        return message("{relation}, {lines} {share}")
    return message("{relation}, {inbred} {share}") if inbred else message("{relation} {share}")


def _share(number: int, is_certain: bool) -> str:
    if number > 1:
        return (
            message("(together {share})") if is_certain else message("(together {share} expected)")
        )
    return message("({share})") if is_certain else message("({share} expected)")


def _named_first(animal: Any, names: Names) -> tuple[bool, bool, str]:
    """Males before females, and those nobody wrote down last."""
    is_unrecorded = isinstance(animal, Unrecorded)
    return is_unrecorded, sex_of(animal, names) != "M", called(animal, names)


def _relation(
    why: Explanation,
    first: CommonAncestor,
    who: str,
    number: int,
    names: Names,
    *,
    is_certain: bool,
) -> str:
    """What they are to the parents by the shortest of the lines."""
    sex = sex_of(first.id, names) if number == 1 else "U"
    sire, dam = called(why.sire, names), called(why.dam, names)
    up, down = min(first.paths, key=lambda steps: (sum(steps), steps))
    if first.id == why.sire:
        said = _also_the_sire(is_certain)
        return tell(said, sire=who, kinship=kinship(down, sex), dam=dam)
    if first.id == why.dam:
        said = _also_the_dam(is_certain)
        return tell(said, dam=who, kinship=kinship(up, sex), sire=sire)
    if up == down:
        one, several = OF_BOTH[is_certain]
        return tell_many(one, several, number, animals=who, kinship=kinship(up, sex, number))
    one, several = OF_EACH[is_certain]
    return tell_many(
        one,
        several,
        number,
        animals=who,
        to_sire=kinship(up, sex, number),
        to_dam=kinship(down, sex, number),
        sire=sire,
        dam=dam,
    )


OF_BOTH = {
    True: message_many(
        "{animals} is {kinship} of both parents", "{animals} are {kinship} of both parents"
    ),
    False: message_many(
        "{animals} may be {kinship} of both parents", "{animals} may be {kinship} of both parents"
    ),
}
OF_EACH = {
    True: message_many(
        "{animals} is {to_sire} of {sire} and {to_dam} of {dam}",
        "{animals} are {to_sire} of {sire} and {to_dam} of {dam}",
    ),
    False: message_many(
        "{animals} may be {to_sire} of {sire} and {to_dam} of {dam}",
        "{animals} may be {to_sire} of {sire} and {to_dam} of {dam}",
    ),
}


def _also_the_sire(is_certain: bool) -> str:
    if is_certain:
        return message("the sire, {sire}, is also {kinship} of {dam}")
    return message("the sire, {sire}, may also be {kinship} of {dam}")


def _also_the_dam(is_certain: bool) -> str:
    if is_certain:
        return message("the dam, {dam}, is also {kinship} of {sire}")
    return message("the dam, {dam}, may also be {kinship} of {sire}")


@says
def with_reasons(said: InbreedingWords, reasons: Sequence[tuple[str, Sequence[str]]]) -> str:
    """F and through whom it is, in one piece; each of `reasons` under the heading it holds for.

    >>> with_reasons(InbreedingWords("12.5 %", ""), [("", ["Altair is the sire of both parents"])])
    '12.5 %: Altair is the sire of both parents'
    """
    parts = []
    for under, sentences in reasons:
        if sentences:
            because = "; ".join(sentences)
            parts.append(
                tell("if {case}, {reasons}", case=under, reasons=because) if under else because
            )
    return f"{said.sentence}: {'; '.join(parts)}" if parts else said.sentence


def sire_heading(sire: Any, share: Fraction, names: Names) -> str:
    """Under which possible sire the reasons hold; empty when there is only one.

    >>> from breeding.words.descent.who import Who
    >>> sire_heading("a", Fraction(3, 4), {"a": Who("Altair")})
    'Altair is the sire (3/4)'
    """
    if share == 1:
        return ""
    return tell("{animal} is the sire ({share})", animal=called(sire, names), share=share)
