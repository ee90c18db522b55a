"""What young of two may be beyond what is on record: hybrids, and closer kin than F says."""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from pathlib import Path

from django.conf import settings

from breeding.animals.models import Animal, Species
from breeding.animals.species.listings import listings_in_use
from breeding.words.language import tell
from breeding.words.numbers import joined, percent
from pedigree import is_hybrid

Shares = Mapping[int, Mapping[int | None, Fraction]]
MOST_SAID = 4
NOT_ON_RECORD: Mapping[int | None, Fraction] = {None: Fraction(1)}


def crosses_said(pairs: Iterable[tuple[Animal, Animal]], shares: Shares) -> list[str]:
    """One sentence for each set of species that would be in hybrids of these pairs; one query."""
    kinds: dict[frozenset[int], None] = {}
    for one, other in pairs:
        mine, yours = (_species_in(shares.get(who.pk, {})) for who in (one, other))
        if mine and yours and len(mine | yours) > 1:
            kinds[frozenset(mine | yours)] = None
    if not kinds:
        return []
    known = Species.objects.in_bulk({key for some in kinds for key in some})
    listings = listings_in_use(Path(settings.HOME))
    told = {key: law for key, one in known.items() if (law := listings.law_of(one))}
    return [_said([known[key] for key in sorted(some)], told) for some in list(kinds)[:MOST_SAID]]


def _species_in(shares: Mapping[int | None, Fraction]) -> set[int]:
    return {key for key, share in shares.items() if key and share}


def nothing_says_hybrids(
    hers: Mapping[int | None, Fraction], his: Mapping[int | None, Fraction]
) -> bool:
    """Whether nothing on record says that young of two may be of more than one species.

    Two of one pure species, and two of whom nobody has written down any: then no page has anything
    to say of it. Where of one alone the species is not on record, or of either only in part, they
    may be.
    """
    found = {key for some in (hers, his) for key, share in (some or NOT_ON_RECORD).items() if share}
    return len(found) == 1


def mixed_said(female: Animal, male: Animal, shares: Shares) -> str:
    """That young of two are hybrids, or may be, and why; empty where nothing on record says so."""
    hers, his = (shares.get(one.pk, {}) for one in (female, male))
    if nothing_says_hybrids(hers, his):
        return ""
    hybrids = [one.name for one, of in ((female, hers), (male, his)) if is_hybrid(of)]
    if len(hybrids) == 2:
        return tell("both are hybrids, and so are their young")
    if hybrids:
        return tell("{animal} is a hybrid, and so are the young", animal=hybrids[0])
    if len(_species_in(hers) | _species_in(his)) > 1:
        return tell("they are of two species: their young are hybrids")
    return tell("they are not known to be of one species: their young may be hybrids")


def could_be_said(male: Animal, on_record: float, could_be: float) -> str:
    """That F of young of this male may be more than what is on record says; empty where not."""
    if could_be <= on_record or (most := percent(could_be)) == percent(on_record):
        return ""
    return tell("F of young of {male} could be up to {most}.", male=male.name, most=most)


def _said(species: Sequence[Species], told: Mapping[int, str]) -> str:
    names = joined([one.accepted_name for one in species])
    laws = " ".join(
        tell("{species}: {law}", species=one.accepted_name, law=told[one.pk])
        for one in species
        if one.pk in told
    )
    if not laws:
        return tell(
            "Young of {species} are hybrids. The law list of this program has none of them; ask "
            "the authority where you live.",
            species=names,
        )
    return tell(
        "Young of {species} are hybrids; what holds for a parent's species can hold for them. The "
        "law list of this program says: {law}",
        species=names,
        law=laws,
    )


def strains_said(animals: Iterable[Animal], names: Mapping[int, str]) -> str:
    """Which strains are among these, by name; nothing where there is none."""
    found = {one.strain_id for one in animals if one.strain_id}
    return joined(sorted(names[key] for key in found if key in names)) if found else ""
