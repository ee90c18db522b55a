"""Proof of origin: the chain from an animal back to its founders, and what is not known of it."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from django.conf import settings

from breeding.animals import lineage
from breeding.animals.models import Animal, Species
from breeding.animals.parents.descent import Descent, descent_of
from breeding.animals.species.countries import founder_countries
from breeding.animals.species.listings import Listings, listings_in_use
from breeding.origin.models import OriginPaper
from breeding.words.days import born_words, long_day
from breeding.words.descent.ancestry import (
    CAPTIVITY_RULE,
    captivity_words,
    generation_name,
    origin_words,
)
from breeding.words.descent.shares import shares_words
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import joined, some
from breeding.words.style import SHEET
from pedigree import Pedigree

MOST_NAMED = 12

# Each code with its own meaning. From memory of CITES Resolutions Conf. 12.3 and 10.16 (Rev.):
# the text in force counts.
SOURCE_MEANINGS = {
    "W": message(
        "taken from the wild; also the young of a female that was pregnant when she was caught"
    ),
    "F": message("born in captivity, but the test for C is not met"),
    "C": message("bred in captivity in the sense of CITES: the parents mated in captivity"),
    "R": message("ranched: taken from the wild as egg or young and reared in a controlled place"),
    "O": message("acquired before its species was listed, or before the rules held for it"),
}


@dataclass(frozen=True)
class Station:
    """One animal of the chain with all that is on record of its origin."""

    animal: Animal
    generation: int  # 0 itself, 1 parents, ... the nearest way
    species: str
    origin: str
    born: str
    sire: str
    dam: str
    captivity: str
    papers: tuple[OriginPaper, ...]
    is_founder: bool
    listed: tuple[str, ...]  # of the species in it: "P. leopoldi: CITES Appendix II since ..."


@dataclass(frozen=True)
class Proof:
    """The chain by generations, the listed species in it, and the gaps, each in a sentence."""

    animal: Animal
    asof: datetime.date
    stations: tuple[Station, ...]
    descent: Descent
    flags: tuple[str, ...]
    gaps: tuple[str, ...]
    listings: Listings

    @property
    def captivity(self) -> str:
        """Its generation in captivity, and how that is counted."""
        return f"{self.descent.captivity}. {tell(CAPTIVITY_RULE)}"

    @property
    def by_descent(self) -> list[tuple[str, str]]:
        """What it is by its ancestors, in the sentences of its page and its sheet."""
        descent = self.descent
        rows = [
            (tell("Species"), descent.species),
            (tell("Spread"), descent.spread.sentence),
            (tell("Generation"), descent.captivity),
            (tell("Ancestry"), descent.ancestry),
            (tell("Inbreeding"), descent.said_with_reasons),
        ]
        return [(heading, words) for heading, words in rows if words]

    @property
    def warning(self) -> str:
        """What is wrong with relying on the list of species; empty for nothing."""
        return self.listings.warning(self.asof)

    @property
    def generations(self) -> list[tuple[str, list[Station]]]:
        """ "parents" and who they are, and so on back."""
        found: dict[int, list[Station]] = {}
        for one in self.stations:
            found.setdefault(one.generation, []).append(one)
        return [(generation_name(number), rows) for number, rows in sorted(found.items())]

    @property
    def source_meanings(self) -> list[tuple[str, str]]:
        """The meaning of each code that stands on a paper here."""
        used = {paper.source_code for one in self.stations for paper in one.papers}
        return [(code, tell(words)) for code, words in SOURCE_MEANINGS.items() if code in used]


def distances(ped: Pedigree, animal: int) -> dict[int, int]:
    """How many generations back each ancestor stands by the nearest way; possible sires count."""
    found, level, number = {animal: 0}, [animal], 0
    while level:
        number += 1
        parents = {sire for one in level for sire in ped.sires(one)}
        parents |= {dam for one in level if (dam := ped.dam(one)) is not None}
        level = sorted(parents - found.keys())
        found |= dict.fromkeys(level, number)
    return found


def proof_of(animal: Animal, *, asof: datetime.date) -> Proof:
    """Everything on record of where an animal comes from: a constant number of queries.

    Nothing is worked out that is not recorded, but the generation in captivity and the shares of
    species, which follow from the parents.
    """
    known = lineage.current()
    ped = known.pedigree
    back = distances(ped, animal.pk)
    animals = Animal.objects.in_bulk(list(back))
    papers: dict[int, list[OriginPaper]] = {}
    for paper in OriginPaper.objects.filter(animal__in=list(back), withdrawn_at__isnull=True):
        papers.setdefault(paper.animal_id, []).append(paper)
    species = {one.pk: one for one in Species.every.all()}
    names = {pk: one.short_name for pk, one in species.items()}
    listings = listings_in_use(Path(settings.HOME))
    stations = []
    for pk in sorted(back, key=lambda one: (back[one], animals[one].code)):
        shares = known.shares[pk]
        within = back[pk] <= listings.generations
        stations.append(
            Station(
                animal=animals[pk],
                generation=back[pk],
                species=_species_words(shares, names),
                origin=_origin_words(animals[pk]),
                born=born_words(animals[pk].born_on, animals[pk].born_precision),
                sire=_sire_words(ped, pk, animals),
                dam=_name(animals, ped.dam(pk)),
                captivity=captivity_words(known.captivity[pk]),
                papers=tuple(papers.get(pk, ())),
                is_founder=ped.is_founder(pk),
                listed=tuple(
                    f"{names[label]}: {words}"
                    for label, share in shares.items()
                    if within and label is not None and share
                    if (words := _law_words(listings, species[label], pk, animals))
                ),
            )
        )
    return Proof(
        animal=animal,
        asof=asof,
        stations=tuple(stations),
        descent=descent_of(animal, SHEET, with_pictures=False),
        flags=_flags(stations, listings),
        gaps=_gaps(stations, ped, back, known.shares[animal.pk], listings),
        listings=listings,
    )


def _law_words(listings: Listings, species: Species, of: int, animals: Mapping[int, Animal]) -> str:
    """Where the species is listed, with the countries of the founders of this animal."""
    return listings.words(species.accepted_name, founder_countries(of, species.pk, animals))


def _species_words(shares: Mapping[int | None, Fraction], names: Mapping[int, str]) -> str:
    words = shares_words(shares, names)
    return tell("species not recorded") if words == "unknown" else words


def _origin_words(animal: Animal) -> str:
    return origin_words(animal.origin, animal.country)


def _sire_words(ped: Pedigree, pk: int, animals: Mapping[int, Animal]) -> str:
    sires = ped.sires(pk)
    if not sires:
        return tell("unknown")
    names = [animals[one].full_name for one in sorted(sires)]
    if len(names) == 1 and sum(sires.values(), Fraction(0)) == 1:
        return names[0]
    rest = [tell("one not on record")] if sum(sires.values(), Fraction(0)) < 1 else []
    return tell("one of {names}", names=joined([*names, *rest], "or"))


def _name(animals: Mapping[int, Animal], pk: int | None) -> str:
    return tell("unknown") if pk is None else animals[pk].full_name


def _flags(stations: Sequence[Station], listings: Listings) -> tuple[str, ...]:
    """Of each listed species among the last generations: in whom, and its founders' countries."""
    found: dict[str, list[Station]] = {}
    for one in stations:
        for words in one.listed:
            found.setdefault(words, []).append(one)
    return tuple(
        tell_many(
            "{listing}. In {names}, within {number} generation.",
            "{listing}. In {names}, within {number} generations.",
            listings.generations,
            listing=words,
            names=some([one.animal.name for one in those], MOST_NAMED),
        )
        + _countries_words(those)
        for words, those in sorted(found.items())
    )


def _countries_words(stations: Sequence[Station]) -> str:
    """ " Altair comes from Peru." of the founders whose country is on record; "" for none."""
    by_country: dict[str, list[str]] = {}
    for one in stations:
        if one.is_founder and one.animal.country:
            by_country.setdefault(one.animal.country, []).append(one.animal.name)
    return "".join(
        " "
        + tell_many(
            "{names} comes from {country}.",
            "{names} come from {country}.",
            len(names),
            names=some(names, MOST_NAMED),
            country=country,
        )
        for country, names in sorted(by_country.items())
    )


def _gaps(
    stations: Sequence[Station],
    ped: Pedigree,
    back: Mapping[int, int],
    shares: Mapping[int | None, Fraction],
    listings: Listings,
) -> tuple[str, ...]:
    """What the records do not say, each in a sentence; none of it is guessed."""
    found = []
    names = {one.animal.pk: one.animal.name for one in stations}
    open_ended = {
        names[pk]
        for pk, number in back.items()
        if number < listings.generations
        and not _is_wild(stations, pk)
        and (ped.dam(pk) is None or sum(ped.sires(pk).values(), Fraction(0)) < 1)
    }
    if open_ended:
        found.append(
            tell_many(
                "A parent of {names} is not on record, so a listed species within {number} "
                "generation cannot be ruled out.",
                "A parent of {names} is not on record, so a listed species within {number} "
                "generations cannot be ruled out.",
                listings.generations,
                names=some(sorted(open_ended), MOST_NAMED),
            )
        )
    if shares.get(None):
        found.append(tell("Its species is not known in full."))
    unknown = Animal.Origin.UNKNOWN
    if origins := [one.animal.name for one in stations if one.animal.origin == unknown]:
        found.append(
            tell("The origin of {names} is not recorded.", names=some(origins, MOST_NAMED))
        )
    if nowhere := [
        one.animal.name for one in stations if one.is_founder and not one.animal.country
    ]:
        found.append(
            tell_many(
                "The country that {names} comes from is not recorded; a listing can hold for the "
                "animals of one country alone.",
                "The country that {names} come from is not recorded; a listing can hold for the "
                "animals of one country alone.",
                len(nowhere),
                names=some(nowhere, MOST_NAMED),
            )
        )
    if bare := [one.animal.name for one in stations if one.is_founder and not one.papers]:
        found.append(
            tell_many(
                "No paper is on record for the founder {names}.",
                "No paper is on record for the founders {names}.",
                len(bare),
                names=some(bare, MOST_NAMED),
            )
        )
    if births := [one.animal.name for one in stations if one.animal.born_on is None]:
        found.append(
            tell("The date of birth of {names} is not recorded.", names=some(births, MOST_NAMED))
        )
    return tuple(found)


def _is_wild(stations: Sequence[Station], pk: int) -> bool:
    return any(one.animal.pk == pk and one.animal.origin == Animal.Origin.WILD for one in stations)


def paper_words(paper: OriginPaper) -> str:
    """ "source code C, number 12/2020, issued by the authority, 3 March 2020, document kept"."""
    parts = [
        tell("source code {code}", code=paper.source_code) if paper.source_code else "",
        tell("number {number}", number=paper.permit_number) if paper.permit_number else "",
        tell("issued by {name}", name=paper.issued_by) if paper.issued_by else "",
        long_day(paper.dated) if paper.dated else tell("date not recorded"),
        tell("document kept") if paper.document else tell("no document kept"),
        paper.note,
    ]
    return ", ".join(part for part in parts if part)
