"""What pairs across species come to: hybrids, and what the law list says of their parents."""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from pathlib import Path

from django.conf import settings

from breeding.animals.models import Animal, Species
from breeding.animals.species.listings import listings_in_use
from breeding.words.language import tell
from breeding.words.numbers import joined
from pedigree import is_hybrid

Shares = Mapping[int, Mapping[int | None, Fraction]]
MOST_SAID = 4


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


def hybrids_said(female: Animal, male: Animal, shares: Shares) -> str:
    """That one of two is a hybrid, or both; empty where neither is known to be."""
    hybrids = [one.name for one in (female, male) if is_hybrid(shares.get(one.pk, {}))]
    if len(hybrids) == 2:
        return tell("both are hybrids, and so are their young")
    if hybrids:
        return tell("{animal} is a hybrid, and so are the young", animal=hybrids[0])
    return ""


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
