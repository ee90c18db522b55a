"""Why a pairing of the plan is worth making, in one sentence: lines nearly lost come first."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from breeding.animals.lineage import Lineage
from breeding.planning.state.answers import FEW
from breeding.words.language import tell, tell_many
from pedigree import founders_behind


@dataclass(frozen=True)
class Line:
    """A founder, and how many of the living carry anything of it."""

    founder: int
    carriers: int


def thin_lines(known: Lineage, living: Sequence[int]) -> dict[int, Line]:
    """By animal: of the founders behind it the one carried on by fewest, where that are few."""
    names, parts = founders_behind(known.pedigree, living)
    carriers = (parts > 0).sum(axis=0)
    found: dict[int, Line] = {}
    for at, founder in enumerate(names):
        if not (0 < carriers[at] <= FEW and known.pedigree.is_founder(founder)):
            continue
        for row in (parts[:, at] > 0).nonzero()[0].tolist():
            line = Line(founder, int(carriers[at]))
            if living[row] not in found or found[living[row]].carriers > line.carriers:
                found[living[row]] = line
    return found


def reason_of(
    female: int,
    male: int,
    lines: Mapping[int, Line],
    names: Mapping[int, str],
    *,
    gained: float,
    is_unsaid: bool,
    are_kin: bool,
    mean_kinship: Mapping[int, float],
    usual: float,
) -> str:
    """One sentence. gained: what a litter adds to gene diversity. mean_kinship: of each with all
    the living; usual: the mean of all, below which an animal's genes are rarer than the average."""
    own = [(lines[pk], pk) for pk in (female, male) if pk in lines]
    if own:
        line, pk = min(own, key=lambda one: one[0].carriers)
        if line.carriers == 1:
            return tell("nobody else carries what {animal} carries", animal=names[pk])
        return tell_many(
            "the line of {founder} is nearly lost: {number} living animal carries it",
            "the line of {founder} is nearly lost: {number} living animals carry it",
            line.carriers,
            founder=names[line.founder],
        )
    if is_unsaid:
        return tell("nothing on record speaks against them, but nobody knows whether they are kin")
    rare = [pk for pk in (female, male) if mean_kinship[pk] < usual]
    if gained > 0 or len(rare) == 2:
        return tell("the genes of both are rarer than the average here")
    if rare:
        return tell("the genes of {animal} are rarer than the average here", animal=names[rare[0]])
    if are_kin:
        return tell("they are kin, and many here carry the same genes")
    return tell("not kin on record, but many here carry the same genes")
