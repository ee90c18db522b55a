"""Inbreeding in words: what F means, and through whom, in the sentences of a parentage sheet."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from breeding.animals.words import closeness
from breeding.buyers.ancestry_words import (
    Relatives,
    known_count,
    known_words,
    listed,
    name_of,
    spelled,
)
from breeding.program.formats import joined, percent
from pedigree import CommonAncestor, Explanation, Pedigree, explain

MOST_SENTENCES = 4


def inbreeding_sentence(ped: Pedigree, animal: Any, relatives: Relatives) -> str:
    """F of the animal with what it compares to, the paths that make it, and what it rests on.

    With several possible sires: what is expected by their shares, and F under each of them.
    """
    sires, dam = ped.sires(animal), ped.dam(animal)
    known, possible = known_count(ped, animal)
    rests_on = f"from {known_words(ped, animal)}"
    if not sires or dam is None:
        who = (
            "neither parent is known"
            if not sires and dam is None
            else ("the sire is unknown" if not sires else "the dam is unknown")
        )
        return f"cannot be told, because {who}; counted as unrelated, F would be 0 %"
    is_least = known < possible
    if len(sires) == 1 and sum(sires.values(), Fraction(0)) == 1:
        why = explain(ped, next(iter(sires)), dam)
        return _certain(why, relatives, rests_on, is_least=is_least)
    return _uncertain(ped, sires, dam, relatives, rests_on, is_least=is_least)


def _certain(why: Explanation, relatives: Relatives, rests_on: str, *, is_least: bool) -> str:
    if not why.inbreeding:
        seen = "as far as is known" if is_least else ""
        words = " ".join(part for part in ("0 %", seen) if part)
        return f"{words}: no common ancestor of the parents is on record, {rests_on}"
    least = "at least " if is_least else ""
    expected = "" if why.certain else "expected, for the sire of an ancestor is uncertain, "
    words = f"{least}{percent(why.inbreeding)}, {expected}{closeness(why.inbreeding)}"
    return f"{words}: {'; '.join(path_sentences(why, relatives))}. Reckoned {rests_on}"


def _uncertain(
    ped: Pedigree,
    sires: dict[Any, Fraction],
    dam: Any,
    relatives: Relatives,
    rests_on: str,
    *,
    is_least: bool,
) -> str:
    """Each possible sire gives another F; what is expected is their mean by shares."""
    found = {sire: explain(ped, sire, dam).inbreeding for sire in sires}
    expected = sum((share * found[sire] for sire, share in sires.items()), Fraction(0))
    if not expected:
        whoever = f"whichever of the possible sires it was, {rests_on}"
        seen = " as far as is known" if is_least else ""
        return f"0 %{seen}: no common ancestor of the parents is on record, {whoever}"
    parts = []
    for sire, inbreeding in sorted(found.items(), key=lambda item: (-item[1], -sires[item[0]])):
        meaning = f", {closeness(inbreeding)}," if inbreeding else ""
        parts.append(f"{percent(inbreeding)}{meaning} if the sire is {name_of(sire, relatives)}")
    if sum(sires.values(), Fraction(0)) < 1:
        parts.append("0 % as far as is known if it is another male")
    least = "at least " if is_least else ""
    return (
        f"{least}{percent(expected)} expected by the shares of the possible sires: "
        f"{joined(parts)}. Reckoned {rests_on}"
    )


# ----------------------------------------------------------------------------------------- paths


@dataclass(frozen=True)
class _Group:
    """Common ancestors with the same lines and the same part of F: most often a pair."""

    members: tuple[CommonAncestor, ...]

    @property
    def contribution(self) -> Fraction:
        return sum((one.contribution for one in self.members), Fraction(0))


def path_sentences(
    why: Explanation, relatives: Relatives, most: int = MOST_SENTENCES
) -> tuple[str, ...]:
    """Wright's paths as sentences, the largest part of F first, the rest summed.

    "Altair is the sire of both parents (12.5 %)"
    """
    groups = sorted(_grouped(why.ancestors), key=lambda one: -one.contribution)
    sentences = [_sentence(why, group, relatives) for group in groups[:most]]
    rest = sum((group.contribution for group in groups[most:]), Fraction(0))
    if rest:
        sentences.append(f"further common ancestors add {percent(rest)}")
    return tuple(sentences)


def _grouped(ancestors: Sequence[CommonAncestor]) -> list[_Group]:
    groups: dict[Any, list[CommonAncestor]] = {}
    for one in ancestors:
        alike = (one.contribution, one.inbreeding, tuple(sorted(one.paths.items())))
        groups.setdefault(alike, []).append(one)
    return [_Group(tuple(members)) for members in groups.values()]


def _sentence(why: Explanation, group: _Group, relatives: Relatives) -> str:
    first, number = group.members[0], len(group.members)
    sex = relatives[first.id].sex if number == 1 and first.id in relatives else "U"
    members = sorted(group.members, key=lambda one: _males_first(one.id, relatives))
    who = listed([name_of(one.id, relatives) for one in members], 4)
    sire, dam = name_of(why.sire, relatives), name_of(why.dam, relatives)
    (up, down), _ = min(first.paths.items(), key=lambda item: (sum(item[0]), item[0]))
    verb = "is" if number == 1 else "are"
    if first.id == why.sire:
        relation = f"the sire, {who}, is also {_relation(down, sex)} of {dam}"
    elif first.id == why.dam:
        relation = f"the dam, {who}, is also {_relation(up, sex)} of {sire}"
    elif up == down:
        relation = f"{who} {verb} {_relation(up, sex, number)} of both parents"
    else:
        relation = (
            f"{who} {verb} {_relation(up, sex, number)} of {sire} and "
            f"{_relation(down, sex, number)} of {dam}"
        )
    if first.path_count > 1:
        relation += f", by {spelled(first.path_count)} lines in all"
    inbred = f", inbred {'itself' if number == 1 else 'themselves'}" if first.inbreeding else ""
    together = "together " if number > 1 else ""
    return f"{relation}{inbred} ({together}{percent(group.contribution)})"


def _males_first(animal: Any, relatives: Relatives) -> tuple[bool, str]:
    known = relatives.get(animal)
    return known is None or known.sex != "M", name_of(animal, relatives)


def _relation(steps: int, sex: str, number: int = 1) -> str:
    """ "the sire", "a granddam", "great-grandparents", "ancestors four generations back"."""
    if steps > 3:
        back = f"{spelled(steps)} generations back"
        return f"an ancestor {back}" if number == 1 else f"ancestors {back}"
    word = {"M": "sire", "F": "dam"}.get(sex, "parent")
    word = ("", "", "grand", "great-grand")[steps] + word
    if number > 1:
        return f"the {word}s" if steps == 1 else f"{word}s"
    return f"{'the' if steps == 1 else 'a'} {word}"
