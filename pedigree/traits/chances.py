"""The chances of 0, 1 and 2 copies of a gene, for every animal, given everything seen."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from pedigree.pedigree import Pedigree
from pedigree.rows import Floats
from pedigree.traits.below import chances_below, for_everybody
from pedigree.traits.contradictions import contradicting
from pedigree.traits.inheritance import SexLinked
from pedigree.traits.locus import Locus, Seen, locus_of
from pedigree.traits.reckoned import MOST_MEGABYTES, Impossible
from pedigree.traits.refusals import Contradiction


def genotype_chances(
    pedigree: Pedigree,
    seen: Seen,
    *,
    frequency: float,
    sex_linked: SexLinked | None = None,
    most_megabytes: float = MOST_MEGABYTES,
) -> dict[Any, Floats]:
    """Chances of 0, 1 and 2 copies of a gene for every animal: float64 (3,) each, 0 to 1, sum 1.

    `seen`: an animal to three likelihoods of 0 or more, how likely what was seen on it is with 0,
    1 and 2 copies (see `likelihoods`); only their ratios count. Who is not in it was not seen.
    `frequency` is that of the gene among founders, 0 to 1; founders and unknown parents have it
    in Hardy-Weinberg proportions, independent of each other: kinship that is assumed of founders
    is not asked. The sire of a litter who is one of several is one choice, with the shares given,
    shared by littermates as in `Pedigree.from_rows`. With `sex_linked` an animal of the sex with
    one copy has 0 or 1; where the sex of a young is not given, each sex counts half.

    Exact through any loops, to about 14 digits. Raises UnknownAnimal; Contradiction, which names
    animals that contradict each other, where what was seen cannot be; TooTangled where tables
    would take more than `most_megabytes` (then `sampled_chances`); LineageError for what cannot
    be read. Cost: a second for a thousand animals as a breeder has them; the tables grow with 3
    (2 where a trait did not show) to the power of the animals to be thought of at once, which
    grow with the breeders of a time who are crossed at random. Litters cost nothing.

    Source: Elston & Stewart 1971, Hum. Hered. 21:523-542; Cannings, Thompson & Skolnick 1978,
    Adv. Appl. Prob. 10:26-61; Totir, Fernando & Abraham 2009, Genet. Sel. Evol. 41:52.

    Two that do not show a recessive trait have a young that does: both carry it, and of three
    young that do not show it two carry it.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None),
    ...                           ("Mira", "Altair", "Vega"), ("Deneb", "Altair", "Vega")])
    >>> no, shows = (1, 1, 0), (0, 0, 1)
    >>> seen = {"Altair": no, "Vega": no, "Mira": shows, "Deneb": no}
    >>> found = genotype_chances(ped, seen, frequency=0.1)
    >>> found["Altair"].round(9).tolist(), found["Deneb"].round(9).tolist()
    ([0.0, 1.0, 0.0], [0.333333333, 0.666666667, 0.0])
    """
    locus = locus_of(pedigree, seen, frequency, sex_linked)
    with contradictions_named(locus):
        reckoned = for_everybody(locus, most_megabytes)
        found = reckoned.chances() | chances_below(reckoned)
    return of_animals(pedigree, found)


def of_animals(pedigree: Pedigree, found: dict[int, Floats]) -> dict[Any, Floats]:
    """By ids in place of nodes."""
    nodes = pedigree._layout.node_of_row.tolist()
    return {animal: found[node] for animal, node in zip(pedigree.ids, nodes, strict=True)}


@contextmanager
def contradictions_named(locus: Locus) -> Iterator[None]:
    """Turn the news that something cannot be into an error that names the animals."""
    try:
        yield
    except Impossible:
        raise Contradiction(contradicting(locus)) from None
