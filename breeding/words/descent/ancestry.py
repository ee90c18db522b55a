"""How much of an ancestry is known, who is missing, origin, captivity and the family tree."""

import itertools
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from breeding.words.descent.who import ELSEWHERE, HERE, UNKNOWN, WILD, Names, all_called, called
from breeding.words.language import message, says, tell, tell_many
from breeding.words.numbers import ordinal, places, some, spelled
from breeding.words.style import SHEET, Style
from pedigree import Gaps, KnownAncestors, Pedigree, within

GENERATIONS = 3
MOST_MISSING = 5
GENERATION_NAMES = (
    message("itself"),
    message("parents"),
    message("grandparents"),
    message("great-grandparents"),
)
ORIGINS = {  # without a country, and with one
    WILD: (message("wild caught"), message("wild caught, from {country}")),
    ELSEWHERE: (
        message("captive bred elsewhere"),
        message("captive bred elsewhere, from {country}"),
    ),
    HERE: (message("born here"), message("born here, from {country}")),
    UNKNOWN: (message("not recorded"), message("from {country}, how is not recorded")),
}
FOUNDERS_BY_ORIGIN = {
    WILD: (message("{animals} wild caught"), message("{animals} wild caught ({country})")),
    ELSEWHERE: (
        message("{animals} captive bred elsewhere"),
        message("{animals} captive bred elsewhere ({country})"),
    ),
    HERE: (message("{animals} born here"), message("{animals} born here ({country})")),
    UNKNOWN: (
        message("{animals} of unrecorded origin"),
        message("{animals} of unrecorded origin ({country})"),
    ),
}


def generation_name(number: int) -> str:
    """How far back.

    >>> generation_name(1), generation_name(5)
    ('parents', '5 generations back')
    """
    if number < len(GENERATION_NAMES):
        return tell(GENERATION_NAMES[number])
    return tell_many("{number} generation back", "{number} generations back", number)


# -------------------------------------------------------------------------------- known ancestry


def known_words(known: Sequence[KnownAncestors]) -> str:
    """How many of the possible ancestors are known; of an uncertain sire the share counts.

    >>> known_words([KnownAncestors(1, Fraction(2), 2), KnownAncestors(2, Fraction(1), 4)])
    '3 of 6 possible ancestors in two generations'
    """
    found, possible = _sums(known)
    return tell_many(
        "{known} of {possible} possible ancestors in {count} generation",
        "{known} of {possible} possible ancestors in {count} generations",
        len(known),
        known=places(found, possible),
        possible=possible,
        count=spelled(len(known)),
    )


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
    if _in_whole(known):
        return tell("from {known}", known=known_words(known))
    return tell("from {known}, uncertain sires counted by their share", known=known_words(known))


def _in_whole(known: Sequence[KnownAncestors]) -> bool:
    return _sums(known)[0].denominator == 1


@says
def known_sentence(
    known: Sequence[KnownAncestors], missing: Gaps, names: Names, style: Style = SHEET
) -> str:
    """How much ancestry is known, and who is missing.

    Of those from the wild nobody can know more, and that is said apart from what is missing.

    >>> from breeding.words.descent.who import Who
    >>> known_sentence([KnownAncestors(1, Fraction(1), 2)], Gaps(("m",), (), (), ()),
    ...                {"m": Who("Mira")})
    '1 of 2 possible ancestors in one generation is known; not known: the sire of Mira'
    """
    found, _ = _sums(known)
    clauses = [tell(_is_known(found, _in_whole(known)), known=known_words(known))]
    if not found:
        return style.close("; ".join([*clauses, tell("neither parent is known")]))
    if gaps := _missing_words(missing, names, style):
        clauses.append(tell("not known: {animals}", animals=gaps))
    if missing.wild:
        wild = some([called(one, names) for one in missing.wild], MOST_MISSING, style)
        clauses.append(tell("nobody can know more beyond {animals}, wild caught", animals=wild))
    return style.close("; ".join(clauses))


def _is_known(found: Fraction, in_whole: bool) -> str:
    is_one = 0 < found < Fraction(3, 2)
    if in_whole:
        return message("{known} is known") if is_one else message("{known} are known")
    if is_one:
        return message("{known} is known, uncertain sires counted by their share")
    return message("{known} are known, uncertain sires counted by their share")


def _missing_words(missing: Gaps, names: Names, style: Style) -> str:
    groups = (
        (message("the sire of {animals}"), missing.sires),
        (message("the dam of {animals}"), missing.dams),
        (message("the parents of {animals}"), missing.parents),
    )
    parts = [
        tell(said, animals=some([called(one, names) for one in those], MOST_MISSING, style))
        for said, those in groups
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
        return tell("generation in captivity unknown")
    if generation == 0:
        return tell("wild caught")
    return tell("{ordinal} generation in captivity", ordinal=ordinal(generation))


def captivity_sentence(generation: int | None) -> str:
    """The same with its ground, or why it cannot be told.

    >>> captivity_sentence(1)
    'first generation in captivity (a parent came from the wild)'
    >>> captivity_sentence(None)
    'generation in captivity unknown, because not every line is on record back to the wild'
    """
    if generation is None:
        return tell(
            "generation in captivity unknown, because not every line is on record back to the wild"
        )
    if generation == 1:
        return tell("first generation in captivity (a parent came from the wild)")
    return captivity_words(generation)


CAPTIVITY_RULE = message(
    "Counted from the wild: 1 with a wild parent, else 1 more than the nearer parent."
)


def origin_words(origin: str, country: str = "") -> str:
    """Where an animal comes from.

    >>> origin_words("wild"), origin_words("unknown")
    ('wild caught', 'not recorded')
    >>> origin_words("wild", "Colombia"), origin_words("unknown", "Peru")
    ('wild caught, from Colombia', 'from Peru, how is not recorded')
    """
    alone, with_country = ORIGINS.get(origin, ORIGINS[UNKNOWN])
    return tell(with_country, country=country) if country else tell(alone)


@says
def origin_sentence(ped: Pedigree, animal: Any, names: Names, style: Style = SHEET) -> str:
    """Where it comes from, and which founders it descends from.

    >>> from breeding.words.descent.who import Who
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
            alone, with_country = FOUNDERS_BY_ORIGIN[origin]
            animals = some(those, style.most_names, style)
            said = with_country if country else alone
            groups.append(tell(said, animals=animals, country=country))
    if groups:
        from_them = tell_many(
            "founder {animals}", "founders {animals}", len(founders), animals=", ".join(groups)
        )
        words = f"{words}; {from_them}"
    return style.close(words)


# --------------------------------------------------------------------------------------- the tree


def sire_words(ped: Pedigree, animal: Any, names: Names, style: Style = SHEET) -> str:
    """The sire, or those he may be one of, the likeliest first."""
    sires = ped.sires(animal)
    if not sires:
        return tell("unknown sire")
    if list(sires.values()) == [Fraction(1)]:
        return tell("sire {animal}", animal=all_called(sires, names))
    likeliest = sorted(sires, key=lambda one: (-sires[one], called(one, names)))
    shown = some([called(one, names) for one in likeliest], style.most_names, style)
    return tell_many(
        "possible sire {animals}", "possible sires {animals}", len(sires), animals=shown
    )


@says
def tree_sentence(ped: Pedigree, animal: Any, names: Names, generations: int = GENERATIONS) -> str:
    """The family tree in sentences, for those who do not see it; each pair of parents once."""
    parts = []
    for young in within(ped, animal, generations - 1):
        if ped.is_founder(young):
            continue
        dam = ped.dam(young)
        dam_words = (
            tell("unknown dam") if dam is None else tell("dam {animal}", animal=called(dam, names))
        )
        parents = f"{sire_words(ped, young, names)}, {dam_words}"
        parts.append(f"{called(young, names)}: {parents}")
    name = called(animal, names)
    if not parts:
        return tell("Family tree of {animal}: neither parent is known.", animal=name)
    return tell_many(
        "Family tree of {animal} over {count} generation. {parents}.",
        "Family tree of {animal} over {count} generations. {parents}.",
        generations,
        animal=name,
        count=spelled(generations),
        parents=". ".join(parts),
    )
