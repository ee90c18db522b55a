"""What is known of an animal's ancestors, in the sentences that a parentage sheet prints."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from breeding.program.formats import joined
from pedigree import Pedigree, known_ancestors

GENERATIONS = 3
MOST_NAMED = 8
MOST_SOURCES = 3

_NUMBERS = (
    *("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"),
    *("eleven", "twelve"),
)
_ORDINALS = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
_PARTS = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth"}

WILD, ELSEWHERE, HERE, UNKNOWN = "wild", "elsewhere", "here", "unknown"  # as Animal.Origin
_ORIGINS = {WILD: "wild caught", ELSEWHERE: "captive bred elsewhere", HERE: "born here"}


@dataclass(frozen=True)
class Relative:
    """What the sentences need to know of an animal: what it is called, its sex, its origin."""

    name: str
    sex: str = "U"  # F, M or U
    origin: str = UNKNOWN
    species_recorded: Fraction = Fraction(0)  # of a founder: how much of its species is on record


Relatives = Mapping[Any, Relative]
Shares = Mapping[Any, Fraction]  # the label None is the unknown part


def spelled(number: int) -> str:
    """Small numbers as words.

    >>> spelled(7), spelled(13)
    ('seven', '13')
    """
    return _NUMBERS[number] if 0 <= number < len(_NUMBERS) else str(number)


def listed(names: Sequence[str], most: int = MOST_NAMED) -> str:
    """Names as a list that stays short.

    >>> listed(["Rigel", "Spica", "Mizar"], most=2)
    'Rigel, Spica and one more'
    """
    if len(names) <= most:
        return joined(list(names))
    return joined([*names[:most], f"{spelled(len(names) - most)} more"])


def part_words(share: Fraction) -> str:
    """A share as a noun where there is one.

    >>> part_words(Fraction(1, 8)), part_words(Fraction(3, 8))
    ('eighth', '3/8')
    """
    return _PARTS.get(share.denominator, str(share)) if share.numerator == 1 else str(share)


def name_of(animal: Any, relatives: Relatives) -> str:
    """The name; for the unrecorded parent of a litter, what it is."""
    known = relatives.get(animal)
    if known is not None:
        return known.name
    return "an unknown female" if getattr(animal, "role", "") == "dam" else "an unknown male"


# -------------------------------------------------------------------------------------- species


def species_sentence(
    ped: Pedigree,
    animal: Any,
    shares_of: Mapping[Any, Shares],
    species: Mapping[Any, str],
    relatives: Relatives,
) -> str:
    """Expected species shares as exact fractions, and through whom the unknown part came.

    "7/8 P. motoro expected; the last eighth came through an unknown male (the sire of Izar)".
    """
    known = {label: share for label, share in shares_of[animal].items() if label is not None}
    unknown = 1 - sum(known.values(), Fraction(0))
    if not known and ped.is_founder(animal):
        return "species not recorded"
    through = _sources_words(unknown_sources(ped, animal, relatives), unknown)
    if not known:
        return f"unknown: all of its ancestry came through {through}"
    ordered = sorted(known.items(), key=lambda item: (-item[1], species[item[0]]))
    if not unknown and len(ordered) == 1:
        return species[ordered[0][0]]
    words = joined([f"{share} {species[label]}" for label, share in ordered])
    if is_first_cross(ped, animal, shares_of):
        return f"{words}, the first cross of two species"
    words += " expected"
    if not unknown:
        return words
    if ped.is_founder(animal):
        return f"{words}; the last {part_words(unknown)} is not recorded"
    return f"{words}; the last {part_words(unknown)} came through {through}"


def _sources_words(sources: Sequence[tuple[str, Fraction]], unknown: Fraction) -> str:
    if len(sources) == 1:
        return sources[0][0]
    shown = [f"{words} ({share})" for words, share in sources[:MOST_SOURCES]]
    if rest := sum((share for _, share in sources[MOST_SOURCES:]), Fraction(0)):
        shown.append(f"{spelled(len(sources) - MOST_SOURCES)} more ancestors ({rest})")
    return joined(shown)


def unknown_sources(
    ped: Pedigree, animal: Any, relatives: Relatives
) -> tuple[tuple[str, Fraction], ...]:
    """Through whom the part of unknown species came, the largest part first; the shares sum to it.

    Cost: animals among the ancestors times their depth.
    """
    found: dict[str, Fraction] = {}

    def add(words: str, share: Fraction) -> None:
        if share:
            found[words] = found.get(words, Fraction(0)) + share

    here: dict[Any, Fraction] = {animal: Fraction(1)}
    while here:
        above: dict[Any, Fraction] = {}
        for young, weight in here.items():
            who = relatives[young]
            if ped.is_founder(young):
                missing = 1 - who.species_recorded
                how = "only partly recorded" if who.species_recorded else "not recorded"
                add(f"{who.name}, whose species is {how}", weight * missing)
                continue
            sires, dam = ped.sires(young), ped.dam(young)
            parents = [*sires.items(), *([] if dam is None else [(dam, Fraction(1))])]
            for parent, share in parents:
                above[parent] = above.get(parent, Fraction(0)) + weight * share / 2
            rest = 1 - sum(sires.values(), Fraction(0))
            add(f"an unknown male (the sire of {who.name})", weight * rest / 2)
            if dam is None:
                add(f"an unknown female (the dam of {who.name})", weight / 2)
        here = above
    return tuple(sorted(found.items(), key=lambda item: (-item[1], item[0])))


def is_first_cross(ped: Pedigree, animal: Any, shares_of: Mapping[Any, Shares]) -> bool:
    """Whether its two parents are known for sure, each pure, and of different species."""
    sires, dam = ped.sires(animal), ped.dam(animal)
    if dam is None or list(sires.values()) != [Fraction(1)]:
        return False
    of_sire, of_dam = shares_of[next(iter(sires))], shares_of[dam]
    pure = len(of_sire) == len(of_dam) == 1 and None not in {*of_sire, *of_dam}
    return pure and set(of_sire) != set(of_dam)


# -------------------------------------------------------------------------------- known ancestry


def known_words(ped: Pedigree, animal: Any) -> str:
    """How many of the possible ancestors are known: "13 of 14 possible ancestors"."""
    known, possible = known_count(ped, animal)
    return (
        f"{_number(known)} of {possible} possible ancestors in {spelled(GENERATIONS)} generations"
    )


def known_count(ped: Pedigree, animal: Any) -> tuple[Fraction, int]:
    """Known and possible ancestors; a possible sire counts with his share."""
    found = known_ancestors(ped, animal, GENERATIONS)
    return sum((one.known for one in found), Fraction(0)), sum(one.possible for one in found)


def _number(known: Fraction) -> str:
    return str(known) if known.denominator == 1 else f"{float(known):.1f}"


def known_sentence(ped: Pedigree, animal: Any, relatives: Relatives) -> str:
    """How much ancestry is known, and who is missing.

    "13 of 14 possible ancestors in three generations are known; not known: the sire of Izar".
    Of those from the wild nobody can know more, and that is said apart from what is missing.
    """
    verb = "is" if known_count(ped, animal)[0] == 1 else "are"
    words = f"{known_words(ped, animal)} {verb} known"
    if ped.is_founder(animal):
        return f"{words}; neither parent is known"
    if missing := _missing(ped, animal, relatives):
        words += f"; not known: {missing}"
    if wild := _from_the_wild(ped, animal, relatives):
        words += f"; nobody can know more beyond {wild}"
    if any(len(ped.sires(one)) > 1 for one in _within(ped, animal, GENERATIONS - 1)):
        words += " (a possible sire counts with his share)"
    return words


def _within(ped: Pedigree, animal: Any, generations: int) -> list[Any]:
    """The animal and its ancestors over some generations, each once, nearest first."""
    found = {animal: None}
    level = [animal]
    for _ in range(generations):
        above = []
        for young in level:
            dam = ped.dam(young)
            above += [*ped.sires(young), *([] if dam is None else [dam])]
        level = [one for one in dict.fromkeys(above) if one not in found]
        found.update(dict.fromkeys(level))
    return list(found)


def _missing(ped: Pedigree, animal: Any, relatives: Relatives) -> str:
    both, sire, dam = [], [], []
    for one in _within(ped, animal, GENERATIONS - 1):
        name = relatives[one].name
        if ped.is_founder(one):
            if relatives[one].origin != WILD:
                both.append(name)
            continue
        if sum(ped.sires(one).values(), Fraction(0)) < 1:
            sire.append(name)
        if ped.dam(one) is None:
            dam.append(name)
    parts = [
        f"the {what} of {listed(names, 5)}"
        for what, names in (("sire", sire), ("dam", dam), ("parents", both))
        if names
    ]
    return joined(parts)


def _from_the_wild(ped: Pedigree, animal: Any, relatives: Relatives) -> str:
    names = [
        relatives[one].name
        for one in _within(ped, animal, GENERATIONS - 1)
        if ped.is_founder(one) and relatives[one].origin == WILD
    ]
    return f"{listed(names, 5)}, wild caught" if names else ""


# ------------------------------------------------------------------------- origin and generation


def captive_generation(
    ped: Pedigree, animal: Any, relatives: Relatives, known: dict[Any, int | None] | None = None
) -> int | None:
    """Generations in captivity: 0 for one from the wild; None when it cannot be told.

    1 when a parent came from the wild, else one more than the smaller of the parents' numbers;
    unknown with an unknown parent. This is the sense in which CITES counts, from memory of
    Resolution Conf. 10.16; it is not the number of a cross.
    """
    known = {} if known is None else known
    waiting = [animal]
    while waiting:  # parents before young, however deep the pedigree
        one = waiting[-1]
        parents = [] if relatives[one].origin == WILD else [*ped.sires(one), ped.dam(one)]
        above = [parent for parent in parents if parent is not None and parent not in known]
        if above:
            waiting += above
        else:
            known[waiting.pop()] = _generation(ped, one, relatives, known)
    return known[animal]


def _generation(
    ped: Pedigree, animal: Any, relatives: Relatives, known: dict[Any, int | None]
) -> int | None:
    if relatives[animal].origin == WILD:
        return 0
    sires, dam = ped.sires(animal), ped.dam(animal)
    of_dam = None if dam is None else known[dam]
    if of_dam == 0:
        return 1
    of_sires = {known[sire] for sire in sires}
    if sum(sires.values(), Fraction(0)) != 1 or len(of_sires) != 1:
        return None
    of_sire = of_sires.pop()
    if of_sire == 0:
        return 1
    return None if of_sire is None or of_dam is None else 1 + min(of_sire, of_dam)


def generation_sentence(ped: Pedigree, animal: Any, relatives: Relatives) -> str:
    """ "second generation in captivity", or why that cannot be told."""
    number = captive_generation(ped, animal, relatives)
    if number is None:
        return "cannot be told, because not every line is on record back to the wild"
    if number == 0:
        return "taken from the wild"
    ordinal = _ORDINALS[number] if number < len(_ORDINALS) else f"{number}th"
    words = f"{ordinal} generation in captivity"
    return f"{words} (a parent came from the wild)" if number == 1 else words


def origin_sentence(ped: Pedigree, animal: Any, relatives: Relatives) -> str:
    """Where it comes from, and which founders it descends from.

    "born here; founders Rigel and Spica wild caught"
    """
    words = _ORIGINS.get(relatives[animal].origin, "not recorded")
    founders = [one for one in ped.ancestors(animal) if ped.is_founder(one)]
    groups = []
    for origin in (WILD, ELSEWHERE, HERE, UNKNOWN):
        names = sorted(relatives[one].name for one in founders if relatives[one].origin == origin)
        if names:
            how = _ORIGINS.get(origin, "of unrecorded origin")
            groups.append(f"{listed(names)} {how}")
    if groups:
        words += f"; {'founder' if len(founders) == 1 else 'founders'} {', '.join(groups)}"
    return words


# --------------------------------------------------------------------------------------- the tree


def tree_sentence(
    ped: Pedigree, animal: Any, relatives: Relatives, generations: int = GENERATIONS
) -> str:
    """The family tree in sentences, for those who do not see it; each pair of parents once."""
    parts = []
    for young in _within(ped, animal, generations - 1):
        if ped.is_founder(young):
            continue
        sires, dam = ped.sires(young), ped.dam(young)
        sire_words = "unknown sire"
        if len(sires) == 1 and sum(sires.values(), Fraction(0)) == 1:
            sire_words = f"sire {relatives[next(iter(sires))].name}"
        elif sires:
            likeliest = sorted(sires, key=lambda one: (-sires[one], relatives[one].name))
            names = [relatives[one].name for one in likeliest]
            sire_words = f"possible sires {listed(names)}"
        dam_words = "unknown dam" if dam is None else f"dam {relatives[dam].name}"
        parts.append(f"{relatives[young].name}: {sire_words}, {dam_words}")
    over = f"over {spelled(generations)} generations"
    name = relatives[animal].name
    if not parts:
        return f"Family tree of {name}: neither parent is known."
    return f"Family tree of {name} {over}. {'. '.join(parts)}."
