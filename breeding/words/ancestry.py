"""How much of an ancestry is known, who is missing, origin, captivity and the family tree."""

import itertools
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from breeding.words.numbers import counted, one_or_more, ordinal, places, some
from breeding.words.style import SHEET, Style
from breeding.words.who import ELSEWHERE, HERE, UNKNOWN, WILD, Names, all_called, called
from pedigree import Gaps, KnownAncestors, Pedigree, within

GENERATIONS = 3
MOST_MISSING = 5
GENERATION_NAMES = ("itself", "parents", "grandparents", "great-grandparents")
_ORIGINS = {WILD: "wild caught", ELSEWHERE: "captive bred elsewhere", HERE: "born here"}


def generation_name(number: int) -> str:
    """How far back.

    >>> generation_name(1), generation_name(5)
    ('parents', '5 generations back')
    """
    if number < len(GENERATION_NAMES):
        return GENERATION_NAMES[number]
    return f"{counted(number, 'generation')} back"


# -------------------------------------------------------------------------------- known ancestry


def known_words(known: Sequence[KnownAncestors]) -> str:
    """How many of the possible ancestors are known; of an uncertain sire the share counts.

    >>> known_words([KnownAncestors(1, Fraction(2), 2), KnownAncestors(2, Fraction(1), 4)])
    '3 of 6 possible ancestors in two generations'
    """
    found, possible = _sums(known)
    generations = counted(len(known), "generation", spells=True)
    return f"{places(found, possible)} of {possible} possible ancestors in {generations}"


def _sums(known: Sequence[KnownAncestors]) -> tuple[Fraction, int]:
    return (
        sum((one.known for one in known), Fraction(0)),
        sum(one.possible for one in known),
    )


def is_known_in_full(known: Sequence[KnownAncestors]) -> bool:
    """Whether no place is empty, not even in part."""
    found, possible = _sums(known)
    return found == possible


def basis_words(known: Sequence[KnownAncestors]) -> str:
    """What an F beside it rests on.

    >>> basis_words([KnownAncestors(1, Fraction(6, 5), 2)])
    'from about 1 of 2 possible ancestors in one generation, uncertain sires counted by their share'
    """
    return f"from {known_words(known)}{_by_share(known)}"


def _by_share(known: Sequence[KnownAncestors]) -> str:
    whole = _sums(known)[0].denominator == 1
    return "" if whole else ", uncertain sires counted by their share"


def known_sentence(
    known: Sequence[KnownAncestors], missing: Gaps, names: Names, style: Style = SHEET
) -> str:
    """How much ancestry is known, and who is missing.

    Of those from the wild nobody can know more, and that is said apart from what is missing.

    >>> from breeding.words.who import Who
    >>> known_sentence([KnownAncestors(1, Fraction(1), 2)], Gaps(("m",), (), (), ()),
    ...                {"m": Who("Mira")})
    '1 of 2 possible ancestors in one generation is known; not known: the sire of Mira'
    """
    found, _ = _sums(known)
    verb = "is" if 0 < found < Fraction(3, 2) else "are"
    words = f"{known_words(known)} {verb} known{_by_share(known)}"
    if not found:
        return style.close(f"{words}; neither parent is known")
    if gaps := _missing_words(missing, names, style):
        words += f"; not known: {gaps}"
    if missing.wild:
        wild = some([called(one, names) for one in missing.wild], MOST_MISSING, style)
        words += f"; nobody can know more beyond {wild}, wild caught"
    return style.close(words)


def _missing_words(missing: Gaps, names: Names, style: Style) -> str:
    groups = (("sire", missing.sires), ("dam", missing.dams), ("parents", missing.parents))
    parts = [
        f"the {what} of {some([called(one, names) for one in those], MOST_MISSING, style)}"
        for what, those in groups
        if those
    ]
    return some(parts, len(parts))


# ------------------------------------------------------------------------- origin and generation


def captivity_words(generation: int | None) -> str:
    """Generation in captivity, in short.

    >>> captivity_words(0), captivity_words(2), captivity_words(None)
    ('wild caught', 'second generation in captivity', 'generation in captivity unknown')
    """
    if generation is None:
        return "generation in captivity unknown"
    if generation == 0:
        return "wild caught"
    return f"{ordinal(generation)} generation in captivity"


def captivity_sentence(generation: int | None) -> str:
    """The same with its ground, or why it cannot be told.

    >>> captivity_sentence(1)
    'first generation in captivity (a parent came from the wild)'
    >>> captivity_sentence(None)
    'generation in captivity unknown, because not every line is on record back to the wild'
    """
    words = captivity_words(generation)
    if generation is None:
        words += ", because not every line is on record back to the wild"
    if generation == 1:
        words += " (a parent came from the wild)"
    return words


CAPTIVITY_RULE = "Counted from the wild: 1 with a wild parent, else 1 more than the nearer parent."


def origin_words(origin: str, country: str = "") -> str:
    """Where an animal comes from.

    >>> origin_words("wild"), origin_words("unknown")
    ('wild caught', 'not recorded')
    >>> origin_words("wild", "Colombia"), origin_words("unknown", "Peru")
    ('wild caught, from Colombia', 'from Peru, how is not recorded')
    """
    if country and origin not in _ORIGINS:
        return f"from {country}, how is not recorded"
    words = _ORIGINS.get(origin, "not recorded")
    return f"{words}, from {country}" if country else words


def origin_sentence(ped: Pedigree, animal: Any, names: Names, style: Style = SHEET) -> str:
    """Where it comes from, and which founders it descends from.

    >>> from breeding.words.who import Who
    >>> ped = Pedigree.from_rows([("a", None, None), ("m", "a", None)])
    >>> origin_sentence(ped, "m", {"a": Who("Altair", origin=WILD), "m": Who("Mira", origin=HERE)})
    'born here; founder Altair wild caught'
    >>> altair = Who("Altair", origin=WILD, country="Colombia")
    >>> origin_sentence(ped, "m", {"a": altair, "m": Who("Mira", origin=HERE)})
    'born here; founder Altair wild caught (Colombia)'
    """
    words = origin_words(names[animal].origin, names[animal].country)
    founders = [one for one in ped.ancestors(animal) if ped.is_founder(one)]
    countries = sorted({names[one].country for one in founders})
    groups = []
    for origin, country in itertools.product((WILD, ELSEWHERE, HERE, UNKNOWN), countries):
        those = sorted(
            who.name
            for who in (names[one] for one in founders)
            if (who.origin, who.country) == (origin, country)
        )
        if those:
            how = _ORIGINS.get(origin, "of unrecorded origin") + (
                f" ({country})" if country else ""
            )
            groups.append(f"{some(those, style.most_names, style)} {how}")
    if groups:
        words += f"; {one_or_more(len(founders), 'founder')} {', '.join(groups)}"
    return style.close(words)


# --------------------------------------------------------------------------------------- the tree


def sire_words(ped: Pedigree, animal: Any, names: Names, style: Style = SHEET) -> str:
    """The sire, or those he may be one of, the likeliest first."""
    sires = ped.sires(animal)
    if not sires:
        return "unknown sire"
    if list(sires.values()) == [Fraction(1)]:
        return f"sire {all_called(sires, names)}"
    likeliest = sorted(sires, key=lambda one: (-sires[one], called(one, names)))
    shown = some([called(one, names) for one in likeliest], style.most_names, style)
    return f"{one_or_more(len(sires), 'possible sire')} {shown}"


def tree_sentence(ped: Pedigree, animal: Any, names: Names, generations: int = GENERATIONS) -> str:
    """The family tree in sentences, for those who do not see it; each pair of parents once."""
    parts = []
    for young in within(ped, animal, generations - 1):
        if ped.is_founder(young):
            continue
        dam = ped.dam(young)
        dam_words = "unknown dam" if dam is None else f"dam {called(dam, names)}"
        parts.append(f"{called(young, names)}: {sire_words(ped, young, names)}, {dam_words}")
    name = called(animal, names)
    if not parts:
        return f"Family tree of {name}: neither parent is known."
    over = counted(generations, "generation", spells=True)
    return f"Family tree of {name} over {over}. {'. '.join(parts)}."
