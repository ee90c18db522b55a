"""Of all animals said to carry a gene with some chance, about that part does."""

import numpy as np

from benchmarks.bench import generated_rows
from pedigree import Pedigree, genotype_chances
from tests.pedigree.traits.truth import genotypes

NO, SHOWS = (1, 1, 0), (0, 0, 1)


def test_chances_are_as_often_true_as_they_say():
    """Twelve programs of 200 animals in litters; six in ten are looked at; q = 0.2."""
    rng = np.random.default_rng(1)
    said, so = [], []
    for seed in range(12):
        rows = generated_rows(200, litter=6, generations=6, seed=seed)
        copies = genotypes(rows, 0.2, rng)
        seen = {one: SHOWS if c == 2 else NO for one, c in copies.items() if rng.random() < 0.6}
        found = genotype_chances(Pedigree.from_rows(rows), seen, frequency=0.2)
        said += [found[one] for one in copies]
        so += [np.eye(3)[c] for c in copies.values()]
    chances, true = np.concatenate(said), np.concatenate(so)
    bins = np.digitize(chances, [0.02, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.98])
    for each in np.unique(bins):
        inside = bins == each
        # Littermates and kin are not independent: a quarter of them as if they were.
        spread = np.sqrt((chances[inside] * (1 - chances[inside])).mean() / (inside.sum() / 4))
        assert abs(chances[inside].mean() - true[inside].mean()) < 3 * spread + 1e-9
