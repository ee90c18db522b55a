"""What an animal, or young that are thought of, are by descent: gathered once, said by `words`."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from django.utils.safestring import SafeString

from breeding.animals import lineage
from breeding.animals.lineage import YOUNG, Lineage
from breeding.animals.models import Animal
from breeding.animals.parents.unknown import possible_of_young
from breeding.animals.pictures.known import Known, known_of
from breeding.animals.pictures.trees import paths_svg
from breeding.animals.species.profiles import all_profiles
from breeding.animals.spoken import spoken_of
from breeding.words.descent import ancestry, assumed, kin, shares
from breeding.words.descent.shares import SpreadWords
from breeding.words.descent.through.reasons import reason_sentences, sire_heading, with_reasons
from breeding.words.descent.who import Names, Who
from breeding.words.language import tell
from breeding.words.numbers import percent
from breeding.words.style import PAGE, Style
from pedigree import (
    Inbred,
    UnderSire,
    gaps,
    inbred,
    inbreeding_range,
    is_hybrid,
    near_pedigree,
    spread_of,
    unknown_parts,
    why_no_cross,
)


@dataclass(frozen=True)
class Reasons:
    """F of the young of two animals through each common ancestor, the largest part first."""

    heading: str  # under which possible sire; empty when he is known
    inbreeding: Fraction
    sentences: tuple[str, ...]
    picture: SafeString


@dataclass(frozen=True)
class Descent:
    """Species, F with its reasons, and how much of all that is known, each in its sentence."""

    shares: str  # in short
    species: str
    is_hybrid: bool
    cross: str
    captivity: str
    spread: SpreadWords
    inbreeding: Fraction
    closeness: str
    short: str  # F with its range, and what it compares to
    said: kin.InbreedingWords
    reasons: tuple[Reasons, ...]
    ancestry: str
    known: Known
    names: Names
    open_kin: str = ""  # of founders nobody has said what they are to each other
    could_be: float = 0.0  # F of young thought of, if unknown founders are kin
    could_be_words: str = ""

    @property
    def said_with_reasons(self) -> str:
        """F and through whom, in one piece."""
        return with_reasons(self.said, [(one.heading, one.sentences) for one in self.reasons])


def descent_of(animal: Animal, style: Style = PAGE, *, with_pictures: bool = True) -> Descent:
    """Of an animal on record. Cost: its ancestors, and one query for what they are called."""
    found = lineage.current().behind(animal.pk)
    return _described(found, animal.pk, style, with_pictures=with_pictures)


def descent_of_young(sire: Animal, dam: Animal) -> Descent:
    """Of the young these two would have."""
    found = lineage.current().young_of(sire.pk, dam.pk)
    return _described(found, YOUNG, PAGE, with_pictures=True)


def short_inbreeding(found: Lineage, key: int) -> str:
    """F of an animal on record as a list has room for it: nothing is reckoned for it twice.

    Cost: its ancestors for every way they may be, where a sire among them is uncertain.
    """
    ped = found.pedigree
    has_sire, has_dam = bool(ped.sires(key)), ped.dam(key) is not None
    if not has_sire or not has_dam:
        return kin.short_words(Inbred(key, has_sire, has_dam))
    figure = Inbred(key, True, True, expected=Fraction(found.inbreeding[key]))
    if figure.expected and key in found.unsettled:
        figure = replace(figure, ways=inbreeding_range(found.behind(key).pedigree, key))
    return kin.short_words(figure)


def short_inbreeding_of_young(found: Lineage, sire: int, dam: int) -> str:
    """F of the young of these two, with what it compares to."""
    figure = inbred_young(found, sire, dam)
    return f"{kin.short_meaning(figure)}{_assumed_part(found, sire, dam, figure.expected)}"


def inbred_young(found: Lineage, sire: int, dam: int) -> Inbred:
    """F of the young of these two; a range where a sire behind them is uncertain."""
    expected = Fraction(found.pedigree.kinship(sire, dam))
    figure = Inbred(YOUNG, True, True, expected=expected)
    if expected and not found.unsettled.isdisjoint((sire, dam)):
        figure = replace(figure, ways=inbreeding_range(found.young_of(sire, dam).pedigree, YOUNG))
    return figure


def _assumed_part(found: Lineage, sire: int, dam: int, expected: Fraction) -> str:
    """How much of it rests on kinship that is assumed, in short."""
    if not expected or not found.assumed_kin(sire, dam):
        return ""
    part = expected - Fraction(found.as_recorded.kinship(sire, dam))
    return tell(", {share} of it assumed", share=percent(part)) if part > 0 else ""


def names_of(found: Lineage) -> Names:
    """What every animal of this lineage is called: one query."""
    return _names([key for key in found.pedigree.ids if key != YOUNG])


def _names(keys: Collection[int]) -> Names:
    return {
        pk: Who(row["call_name"] or row["code"], row["sex"], row["origin"], row["country"])
        for pk, row in spoken_of(keys).items()
    }


def _described(found: Lineage, key: int, style: Style, *, with_pictures: bool) -> Descent:
    ped, mine, cross = found.pedigree, found.shares[key], found.crosses[key]
    names, species = names_of(found), all_profiles().names
    known, figure = known_of(found, key), inbred(ped, key)
    missing = gaps(ped, key, ancestry.GENERATIONS, found.wild)
    why_none = why_no_cross(ped, found.base, found.shares, found.crosses, key)
    spread = spread_of(ped, found.base, found.shares, found.crosses, key)
    return Descent(
        shares=shares.shares_words(mine, species),
        species=shares.shares_sentence(
            mine,
            species,
            unknown_parts(ped, key, found.base),
            names,
            cross=cross,
            is_founder=ped.is_founder(key),
        ),
        is_hybrid=is_hybrid(mine),
        cross=shares.descent_words(cross, why_none, mine, species),
        captivity=ancestry.captivity_sentence(found.captivity[key]),
        spread=shares.spread_words(spread, species, style),
        inbreeding=figure.expected,
        closeness=kin.closeness(figure.expected),
        short=kin.short_meaning(figure),
        said=_with_assumed(
            found, figure, kin.inbreeding_words(figure, known.by_generation, names), names
        ),
        reasons=_reasons(found, figure, names, style, with_pictures=with_pictures),
        ancestry=ancestry.known_sentence(known.by_generation, missing, names, style),
        known=known,
        names=names,
        open_kin=_open_kin(found, key, names),
        **_could_be(found, key, figure),
    )


def _could_be(found: Lineage, key: int, figure: Inbred) -> dict[str, Any]:
    """Of young that are thought of; an animal that lives has the parents it has."""
    sire, dam = found.pedigree.sire(key), found.pedigree.dam(key)
    if key != YOUNG or sire is None or dam is None:
        return {}
    most = max(possible_of_young(found, sire, dam).could_be, float(figure.expected))
    words = assumed.could_be_words(most, figure.expected)
    return {"could_be": most, "could_be_words": words}


def _with_assumed(
    found: Lineage, figure: Inbred, said: kin.InbreedingWords, names: Names
) -> kin.InbreedingWords:
    """The same, with what of F rests on kinship that a keeper assumes."""
    dam = found.pedigree.dam(figure.animal)
    if not found.pedigree.assumed or dam is None or not figure.expected:
        return said
    pairs = [pair for one in figure.under for pair in found.assumed_kin(one.sire, dam)]
    recorded = sum(
        (one.share * Fraction(found.as_recorded.kinship(one.sire, dam)) for one in figure.under),
        Fraction(0),
    )
    words = assumed.resting_words(
        figure.expected - recorded, figure.expected, _held(found, pairs), names
    )
    if not words:
        return said
    if figure.is_settled:
        return replace(said, rest=f", {words}{said.rest}")
    return replace(said, rest=f"{said.rest}; {words.replace('which', 'what is expected', 1)}")


def _held(found: Lineage, pairs: list[tuple[int, int]]) -> list[assumed.AssumedPair]:
    return [
        assumed.AssumedPair(
            one, other, *((held.degree, held.certainty or Fraction(1)) if held else ())
        )
        for one, other in dict.fromkeys(pairs)
        for held in [found.kin.held.get(frozenset((one, other)))]
    ]


def _open_kin(found: Lineage, key: int, names: Names) -> str:
    ped, dam = found.pedigree, found.pedigree.dam(key)
    if dam is None:
        return ""
    pairs = [pair for sire in ped.sires(key) for pair in found.open_kin(sire, dam)]
    return open_kin_words(found, pairs, names)


def open_kin_of_pairs(
    found: Lineage, pairs: Sequence[tuple[int, int]]
) -> dict[tuple[int, int], str]:
    """The same for several pairs, those without such left out: at most one query."""
    unsaid = {pair: found.open_kin(*pair) for pair in pairs}
    keys = {key for some in unsaid.values() for two in some for key in two}
    names = _names(keys) if keys else {}
    return {pair: open_kin_words(found, some, names) for pair, some in unsaid.items() if some}


def open_kin_words(found: Lineage, pairs: Sequence[tuple[int, int]], names: Names) -> str:
    """One sentence on founders nobody has said anything of; empty without such."""
    pairs = list(dict.fromkeys(pairs))
    came = all(any({*pair} <= group for group in found.kin.together) for pair in pairs)
    return assumed.open_words(pairs, names, came)


def _reasons(
    found: Lineage, figure: Inbred, names: Names, style: Style, *, with_pictures: bool
) -> tuple[Reasons, ...]:
    return tuple(
        Reasons(
            heading=sire_heading(one.sire, one.share, names),
            inbreeding=one.why.inbreeding,
            sentences=reason_sentences(one.why, names, style),
            picture=_picture(found, one) if with_pictures else SafeString(""),
        )
        for one in figure.under
        if one.why.inbreeding
    )


def _picture(found: Lineage, under: UnderSire) -> SafeString:
    """The lines by which the two are kin, as far as they are told one by one."""
    if not under.why.ancestors:
        return SafeString("")
    both = Animal.objects.in_bulk([under.why.sire, under.why.dam])
    sire, dam = both[under.why.sire], both[under.why.dam]
    return paths_svg(sire, dam, near_pedigree(found.pedigree, sire.pk, dam.pk))
