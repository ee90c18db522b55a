"""How the animals of a program, of a litter or of an offer are spoken of, by their species."""

from collections import OrderedDict
from collections.abc import Iterable, Mapping

from breeding.animals import lineage, revisions
from breeding.animals.models import Animal, Species, SpeciesShare
from breeding.words.kinds import KindWords, words_of

_words: "OrderedDict[str, KindWords]" = OrderedDict()


def program_words() -> KindWords:
    """Words for all animals on record; without any, for the species that one can choose."""
    now = revisions.current()
    token = f"{now.lineage} {now.figures}".strip()
    return revisions.kept(_words, token, lambda: words_of_species(_species_of_program()))


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


def _species_of_program() -> list[Species]:
    """Those of founders: whoever has parents is of their species."""
    shares = SpeciesShare.objects.filter(animal__in=Animal.objects.all())
    found = list(Species.every.filter(pk__in=shares.values("species")))
    return found or list(Species.objects.all())
