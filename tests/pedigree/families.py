"""Random pedigrees, and kinship worked out the slow and certain way."""

import random
from fractions import Fraction
from functools import cache


def random_rows(seed, *, animals=14, uncertain=0.0, unknown=0.25, selfing=False):
    """Rows with unknown parents, overlapping generations, perhaps several possible sires."""
    chance = random.Random(seed)
    rows = []
    for number in range(animals):
        name = f"a{number}"
        older = [row[0] for row in rows]
        if len(older) < 3:
            rows.append((name, None, None))
            continue
        near = older[-8:]
        sire, dam = (
            chance.sample(near, 2) if not selfing else [chance.choice(near), chance.choice(near)]
        )
        if chance.random() < unknown:
            sire = None
        if chance.random() < unknown:
            dam = None
        litter = None
        if chance.random() < uncertain:
            candidates = chance.sample([one for one in near if one != dam], chance.randint(1, 2))
            sire = {one: Fraction(chance.randint(1, 3), 6) for one in candidates}
            litter = chance.choice([None, "L1", "L2"])
        rows.append((name, sire, dam, litter))
    chance.shuffle(rows)
    return rows


def exact_kinship(layout):
    """Kinship of two nodes in fractions: the younger is replaced by what it stems from."""
    level = layout.level.tolist()

    def order(node):
        return (-1, -1) if node < 0 else (level[node], node)

    @cache
    def between(a, b):
        if a < 0 or b < 0:
            return Fraction(0)
        if order(a) < order(b):
            a, b = b, a
        one, other = int(layout.first[a]), int(layout.second[a])
        share = layout.exact_shares.get(a, Fraction(1, 2))
        if a != b:
            return share * between(one, b) + (1 - share) * between(other, b)
        if layout.is_mixture[a]:
            return share * between(one, one) + (1 - share) * between(other, other)
        return (1 + between(one, other)) / 2

    return between
