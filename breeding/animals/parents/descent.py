"""What an animal, or young that are thought of, are by descent: gathered once, said by `words`."""

from dataclasses import dataclass, replace
from fractions import Fraction

from django.utils.safestring import SafeString

from breeding.animals import lineage
from breeding.animals.lineage import YOUNG, Lineage
from breeding.animals.models import Animal
from breeding.animals.pictures.known import Known, known_of
from breeding.animals.pictures.trees import paths_svg
from breeding.animals.species.profiles import all_profiles
from breeding.words import ancestry, kin, shares
from breeding.words.shares import SpreadWords
from breeding.words.style import PAGE, Style
from breeding.words.who import Names, Who
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

    @property
    def said_with_reasons(self) -> str:
        """F and through whom, in one piece."""
        return kin.with_reasons(self.said, [(one.heading, one.sentences) for one in self.reasons])


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
    expected = Fraction(found.pedigree.kinship(sire, dam))
    figure = Inbred(YOUNG, True, True, expected=expected)
    if expected and not found.unsettled.isdisjoint((sire, dam)):
        figure = replace(figure, ways=inbreeding_range(found.young_of(sire, dam).pedigree, YOUNG))
    return kin.short_meaning(figure)


def names_of(found: Lineage) -> Names:
    """What every animal of this lineage is called: one query."""
    keys = [key for key in found.pedigree.ids if key != YOUNG]
    fields = ("pk", "call_name", "code", "sex", "origin", "country")
    rows = Animal.objects.filter(pk__in=keys).values_list(*fields)
    return {pk: Who(call_name or code, *rest) for pk, call_name, code, *rest in rows}


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
        said=kin.inbreeding_words(figure, known.by_generation, names),
        reasons=_reasons(found, figure, names, style, with_pictures=with_pictures),
        ancestry=ancestry.known_sentence(known.by_generation, missing, names, style),
        known=known,
        names=names,
    )


def _reasons(
    found: Lineage, figure: Inbred, names: Names, style: Style, *, with_pictures: bool
) -> tuple[Reasons, ...]:
    return tuple(
        Reasons(
            heading=kin.sire_heading(one.sire, one.share, names),
            inbreeding=one.why.inbreeding,
            sentences=kin.reason_sentences(one.why, names, style),
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
