"""The one bridge from rows to a Pedigree, kept until parentage changes."""

from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from breeding.animals.models import Animal, LineageRevision, PossibleSire, SpeciesShare
from breeding.program.models import new_revision
from pedigree import Pedigree, composition

_KEPT = 4
_lineages: "OrderedDict[str, Lineage]" = OrderedDict()


@dataclass
class Lineage:
    """The pedigree of every animal on record, with what has been computed from it so far."""

    pedigree: Pedigree
    base: Mapping[int, Mapping[int, Fraction]] = field(repr=False)

    @cached_property
    def inbreeding(self) -> dict[int, float]:
        """F of every animal, by its key."""
        values = self.pedigree.inbreeding().tolist()
        return dict(zip(self.pedigree.ids, values, strict=True))

    @cached_property
    def shares(self) -> Mapping[int, Mapping[int | None, Fraction]]:
        """Species shares of every animal: species key to share; None is the unknown part."""
        return composition(self.pedigree, self.base)


def parentage_changed() -> None:
    """Called by every act that changes who is whose parent: what was computed is out of date."""
    LineageRevision.objects.update_or_create(pk=1, defaults={"token": new_revision()})


def revision() -> str:
    """The present state of the lineage; changes only when parentage changes."""
    row = LineageRevision.objects.filter(pk=1).first()
    return row.token if row else ""


def current() -> Lineage:
    """The lineage of everything on record. Cost: one query while parentage stays as it is."""
    token = revision()
    if token and token in _lineages:
        _lineages.move_to_end(token)
        return _lineages[token]
    lineage = _read()
    if token:
        _lineages[token] = lineage
        while len(_lineages) > _KEPT:
            _lineages.popitem(last=False)
    return lineage


def _read() -> Lineage:
    possible: dict[int, dict[int, Fraction]] = {}
    for animal, sire, share in PossibleSire.objects.values_list("animal_id", "sire_id", "share"):
        possible.setdefault(animal, {})[sire] = share
    base: dict[int, dict[int, Fraction]] = {}
    for animal, species, share in SpeciesShare.objects.values_list(
        "animal_id", "species_id", "share"
    ):
        base.setdefault(animal, {})[species] = share
    rows = []
    for pk, sire, dam, born_on, precision in Animal.objects.order_by("pk").values_list(
        "pk", "sire_id", "dam_id", "born_on", "born_precision"
    ):
        candidates = possible.get(pk)
        if sire is None and dam is not None and precision == Animal.Precision.DAY:
            # Young of one dam, one day and one belief about the sire are litter mates.
            litter = (dam, born_on, tuple(sorted((candidates or {}).items())))
            rows.append((pk, candidates, dam, litter))
        else:
            rows.append((pk, candidates or sire, dam))
    return Lineage(Pedigree.from_rows(rows), base)
