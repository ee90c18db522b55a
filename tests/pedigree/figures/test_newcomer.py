"""What one that is kin to nobody would do for a program, against a pedigree with it written in."""

import pytest

from pedigree import LivingKinship, Pedigree, gene_diversity, with_newcomer
from tests.pedigree.families import random_rows


@pytest.mark.parametrize("seed", range(6))
def test_it_is_what_the_pedigree_with_the_newcomer_and_its_young_comes_to(seed):
    ped = Pedigree.from_rows(random_rows(seed, animals=16))
    living = list(ped.ids)[4:]
    mates, litter = living[:3], [f"pup {number}" for number in range(5)]
    found = with_newcomer(LivingKinship.of(ped, living), mates, 5)
    for mate, after in zip(mates, found.tolist(), strict=True):
        young = [(pup, "bought", mate) for pup in litter]
        grown = ped.with_rows([("bought", None, None), *young])
        assert after == pytest.approx(gene_diversity(grown, [*living, "bought", *litter]))
