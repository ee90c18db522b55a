"""Genotypes as they may really be, dropped from founders through a pedigree."""


def genotypes(rows, frequency, rng):
    """Copies of every animal; rows are (id, sire, dam), parents before young."""
    found = {}
    for animal, *parents in rows:
        handed = [frequency if one is None else found[one] / 2 for one in parents]
        found[animal] = sum(rng.random() < chance for chance in handed)
    return found
