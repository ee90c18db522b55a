"""Why two animals are kin, in sentences and a picture."""

from dataclasses import dataclass, replace
from fractions import Fraction

from django.utils.safestring import SafeString

from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.animals.pictures.trees import paths_svg
from breeding.program.formats import joined
from pedigree import Unrecorded, explain
from pedigree.words import explanation_sentences

MOST_ANCESTORS = 6
MOST_ANIMALS = 400  # beyond, all lines of two dozen generations would take many seconds
NEAR_GENERATIONS = 7


@dataclass(frozen=True)
class Reasons:
    """F of the young of two animals through each common ancestor, the largest part first."""

    sire: str
    share: Fraction  # of the belief that this male is the sire; 1 when he is known
    inbreeding: Fraction
    sentences: tuple[str, ...]
    picture: SafeString


def reasons_of(found: Lineage, sire: Animal, dam: Animal, share: Fraction) -> Reasons:
    """Why young of these two would be inbred; sentences and picture are empty when they are not.

    `found` holds the two and all they stem from. Nothing is cut: the sentences sum up the rest.
    """
    pedigree = found.pedigree
    if len(pedigree) > MOST_ANIMALS:
        pedigree = found.near(sire.pk, dam.pk, generations=NEAR_GENERATIONS).pedigree
    why = explain(pedigree, sire.pk, dam.pk)
    if pedigree is not found.pedigree:  # what older ancestors add is summed up in one sentence
        total = max(Fraction(found.pedigree.kinship(sire.pk, dam.pk)), why.inbreeding)
        why = replace(why, inbreeding=total, remainder=total - why.inbreeding)
    shown = why.ancestors[:MOST_ANCESTORS]
    keys = {key for one in shown for key in _animals_behind(one.id)}
    names = names_of(keys - {sire.pk, dam.pk}) | {sire.pk: sire.name, dam.pk: dam.name}
    called = {one.id: _called(one.id, names) for one in shown}
    return Reasons(
        sire=sire.name,
        share=share,
        inbreeding=why.inbreeding,
        sentences=explanation_sentences(why, names | called, most=MOST_ANCESTORS)
        if why.inbreeding
        else (),
        picture=paths_svg(sire, dam, pedigree) if shown else SafeString(""),
    )


def names_of(keys: set[int]) -> dict[int, str]:
    """Names by key: one query, none for nobody."""
    return {one.pk: one.name for one in Animal.objects.filter(pk__in=keys)} if keys else {}


def _animals_behind(ancestor: int | Unrecorded) -> tuple[int, ...]:
    return ancestor.young if isinstance(ancestor, Unrecorded) else (ancestor,)


def _called(ancestor: int | Unrecorded, names: dict[int, str]) -> str:
    called = [names[key] for key in _animals_behind(ancestor)]
    if isinstance(ancestor, Unrecorded):
        return f"the unknown {ancestor.role} of {joined(called)}"
    return called[0]
