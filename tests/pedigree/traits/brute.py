"""Chances of genotypes the slow and certain way: every genotype of everybody, every sire."""

from fractions import Fraction
from itertools import product

import numpy as np

from pedigree import Pedigree

ONE_OR_TWO = (0.0, 0.5, 1.0)  # what a parent with 0, 1, 2 copies hands on
SINGLE = (0.0, 1.0, 1.0)


def shared_choices(rows):
    """Every uncertain sire with the animals that share him: [(animals, {sire: share})]."""
    ped = Pedigree.from_rows(rows)
    groups = {}
    for animal, sire, dam, litter in ped.rows():
        if isinstance(sire, dict):
            key = (animal,) if litter is None else (litter, dam, tuple(sorted(sire.items())))
            groups.setdefault(key, ([], sire))[0].append(animal)
    return list(groups.values())


def certain_ways(rows):
    """The rows under every choice of the uncertain sires, with its chance; "?" is the unnamed."""
    choices = shared_choices(rows)
    options = []
    for animals, sire in choices:
        rest = 1 - sum(sire.values(), Fraction(0))
        options.append([(animals, *one) for one in [*sire.items(), (("?", animals[0]), rest)]])
    for way in product(*options):
        chosen = {animal: sire for animals, sire, _ in way for animal in animals}
        chance = float(np.prod([float(share) for *_, share in way]))
        if chance:
            yield (
                chance,
                [
                    (animal, chosen.get(animal, sire), dam, litter)
                    for animal, sire, dam, litter in Pedigree.from_rows(rows).rows()
                ],
            )


def with_phantoms(rows):
    """Every animal with the one its unknown parent is, if littermates share that one."""
    sires, dams = {}, {}
    for animal, sire, dam, litter in rows:
        if litter is not None and sire is None:
            sires.setdefault(("sire", litter, dam), []).append(animal)
        if litter is not None and dam is None:
            dams.setdefault(("dam", litter), []).append(animal)
    found, names = [], {animal for animal, *_ in rows}
    for animal, sire, dam, litter in rows:
        own_sire, own_dam = ("sire", litter, dam), ("dam", litter)
        if len(sires.get(own_sire, [])) > 1 and animal in sires[own_sire]:
            sire = own_sire
        if len(dams.get(own_dam, [])) > 1 and animal in dams[own_dam]:
            dam = own_dam
        found.append((animal, sire, dam))
    added = {one for _, *parents in found for one in parents} - names - {None}
    return [(one, None, None) for one in added] + found


def joint(rows, seen, frequency, sex=None):
    """The ids and the joint weights of all their genotypes: an axis of 3 for each."""
    rows = with_phantoms(rows)
    at = {animal: axis for axis, (animal, *_) in enumerate(rows)}
    if sex is not None:
        sex = dict(sex)
        for _, sire, dam in rows:
            sex.update({one: part for one, part in ((sire, "m"), (dam, "f")) if one is not None})
    weights = np.ones([3] * len(rows))
    for genotypes in np.ndindex(*weights.shape):
        weights[genotypes] = weight(rows, at, genotypes, seen, frequency, sex)
    return list(at), weights


def weight(rows, at, genotypes, seen, frequency, sex):
    total = 1.0
    for animal, sire, dam in rows:
        copies = genotypes[at[animal]]
        total *= seen.get(animal, (1, 1, 1))[copies]
        if not total:
            return 0.0
        of_sire = SINGLE if sex else ONE_OR_TWO
        from_sire = frequency if sire is None else of_sire[genotypes[at[sire]]]
        from_dam = frequency if dam is None else ONE_OR_TWO[genotypes[at[dam]]]
        if sex and sex[animal] == "m":
            total *= (1 - from_dam, from_dam, 0)[copies]
        else:
            total *= (
                (1 - from_sire) * (1 - from_dam),
                from_sire * (1 - from_dam) + (1 - from_sire) * from_dam,
                from_sire * from_dam,
            )[copies]
    return total


def chances(rows, seen, frequency, sex=None, pair=None):
    """Of 0, 1, 2 copies of every animal, or of a pair together (3, 3); None if it cannot be."""
    total, found = 0.0, {}
    for chance, certain in certain_ways(rows):
        ids, weights = joint(certain, seen, frequency, sex)
        total += chance * weights.sum()
        wanted = [(one,) for one in ids] if pair is None else [pair]
        for asked in wanted:
            axes = tuple(axis for axis, one in enumerate(ids) if one not in asked)
            part = weights.sum(axis=axes)
            if len(asked) == 2 and ids.index(asked[0]) > ids.index(asked[1]):
                part = part.T
            found[asked] = found.get(asked, 0) + chance * part
    if not total:
        return None
    if pair is not None:
        return found[pair] / total
    return {one[0]: part / total for one, part in found.items()}
