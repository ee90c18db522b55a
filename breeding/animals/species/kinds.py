"""How the animals of a program, of a litter or of an offer are spoken of, by their species."""

from collections import OrderedDict
from collections.abc import Iterable, Mapping

from breeding.animals import lineage, revisions
from breeding.animals.models import Revision, Species, SpeciesShare
from breeding.animals.species.profiles import every_species
from breeding.words.kinds import KindWords, words_of

_words: "OrderedDict[str, KindWords]" = OrderedDict()


def program_words() -> KindWords:
    """Words for all animals on record; without any, for the species that one can choose."""
    now = revisions.current()
    token = f"{now.lineage} {now.figures}".strip()
    return revisions.kept(_words, token, lambda: words_of_species(_of_program(now)))


def words_of_animals(
    animals: Iterable[int], species: Mapping[int, Species] | None = None
) -> KindWords:
    """Words for these animals by their ancestry; those of the program where nothing is known.

    species: every species by its key, where they are read already.
    """
    shares = lineage.current().shares
    keys = {one for animal in animals for one, share in shares.get(animal, {}).items() if share}
    wanted = [one for one in keys if one is not None]
    if species is None:
        species = Species.every.in_bulk(wanted)
    found = [species[one] for one in wanted]
    return words_of_species(found) if found else program_words()


def words_of_species(species: Iterable[Species]) -> KindWords:
    """Words for animals of these species together."""
    return words_of(
        KindWords(one.kind_one, one.kind_many, one.size_called, one.has_spine) for one in species
    )


def _of_program(now: Revision) -> list[Species]:
    """Those of founders: whoever has parents is of their species."""
    every = every_species(now.figures)
    known = lineage.read_already(now)
    if known is not None:
        keys = {one for shares in known.base.values() for one in shares}
    else:
        shares = SpeciesShare.objects.filter(animal__withdrawn_at__isnull=True).order_by()
        keys = set(shares.values_list("species", flat=True).distinct())
    found = [one for key, one in every.items() if key in keys]
    return found or [one for one in every.values() if not one.is_withdrawn]
