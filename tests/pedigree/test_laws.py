"""Laws of lineage that hold for any pedigree."""

from fractions import Fraction
from unittest import mock

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from pedigree import (
    LivingKinship,
    Pedigree,
    completeness,
    completeness_index,
    composition,
    equivalent_generations,
    explain,
    known_ancestors,
    mean_kinship,
)
from tests.tries import tries

SETTINGS = settings(max_examples=tries(60), deadline=None)


@st.composite
def rows(draw, most=16):
    """Rows with parents before young; some parents unknown, some sires one of two."""
    count = draw(st.integers(3, most))
    made = [(0, None, None), (1, None, None)]
    for animal in range(2, count):
        older = st.integers(0, animal - 1)
        sire = draw(st.one_of(st.none(), older))
        dam = draw(st.one_of(st.none(), older.filter(lambda one: one != sire)))  # noqa: B023
        if sire is not None and draw(st.integers(0, 5)) == 0:
            other = draw(older)
            share = Fraction(draw(st.integers(1, 3)), 4)
            sire = {sire: share, other: 1 - share} if other != sire else {sire: share}
            if dam in sire:
                dam = None
        made.append((animal, sire, dam))
    return made


def values(ped):
    return ped.kinship_matrix(sorted(ped.ids, key=str))


@SETTINGS
@given(rows(), st.randoms(use_true_random=False))
def test_the_order_of_rows_does_not_matter(made, chance):
    shuffled = list(made)
    chance.shuffle(shuffled)
    one, other = Pedigree.from_rows(made), Pedigree.from_rows(shuffled)
    np.testing.assert_allclose(values(one), values(other), rtol=0, atol=1e-14)
    by_id = dict(zip(one.ids, one.inbreeding(), strict=True))
    np.testing.assert_allclose(
        other.inbreeding(), [by_id[animal] for animal in other.ids], rtol=0, atol=1e-14
    )


@SETTINGS
@given(rows())
def test_new_names_change_nothing(made):
    def name(one):
        return None if one is None else ("ray", one)

    renamed = [
        (
            name(animal),
            {name(s): p for s, p in sire.items()} if isinstance(sire, dict) else name(sire),
            name(dam),
        )
        for animal, sire, dam in made
    ]
    one, other = Pedigree.from_rows(made), Pedigree.from_rows(renamed)
    assert one.inbreeding().tolist() == other.inbreeding().tolist()
    assert [("ray", a) for a in sorted(one.ancestors(made[-1][0]))] == sorted(
        other.ancestors(name(made[-1][0]))
    )


@SETTINGS
@given(rows())
def test_kinship_is_symmetric_positive_and_from_0_to_1(made):
    matrix = values(Pedigree.from_rows(made))
    assert np.array_equal(matrix, matrix.T)
    assert matrix.min() >= 0
    assert matrix.max() <= 1
    assert np.linalg.eigvalsh(matrix).min() > -1e-12


@SETTINGS
@given(rows())
def test_kinship_with_itself_is_half_of_one_plus_inbreeding(made):
    ped = Pedigree.from_rows(made)
    own = ped.kinship_matrix(ped.ids).diagonal()
    np.testing.assert_allclose(own, (1 + ped.inbreeding()) / 2, rtol=0, atol=1e-14)


@SETTINGS
@given(rows(), st.data())
def test_more_ancestry_never_lowers_inbreeding(made, data):
    ped = Pedigree.from_rows(made)
    known = [n for n, (_, sire, _) in enumerate(made) if isinstance(sire, int)]
    if not known:
        return
    forgotten = data.draw(st.sampled_from(known))
    fewer = list(made)
    fewer[forgotten] = (made[forgotten][0], None, made[forgotten][2])
    less = Pedigree.from_rows(fewer).inbreeding()
    assert np.all(less <= ped.inbreeding() + 1e-14)


@SETTINGS
@given(rows(), st.integers(0, 6))
def test_paths_and_remainder_sum_to_inbreeding(made, longest):
    ped = Pedigree.from_rows(made)
    sire, dam = made[-1][0], made[-2][0]
    short = explain(ped, sire, dam, longest=longest)
    listed = sum((one.contribution for one in short.ancestors), Fraction(0))
    assert listed + short.remainder == short.inbreeding
    assert short.remainder >= 0
    assert abs(float(short.inbreeding) - ped.kinship(sire, dam)) < 1e-12


@SETTINGS
@given(rows(), st.data())
def test_kinship_of_many_pairs_is_that_of_each(made, data):
    ped = Pedigree.from_rows(made)
    each = st.sampled_from(ped.ids)
    pairs = data.draw(st.lists(st.tuples(each, each), max_size=8))
    wanted = [ped.kinship(one, other) for one, other in pairs]
    for at_once in (2, 200):
        with mock.patch("pedigree.pedigree.PAIRS_AT_ONCE", at_once):
            assert np.allclose(ped.kinships(pairs), wanted, rtol=0, atol=1e-15)


@SETTINGS
@given(rows())
def test_full_sibs_have_the_same_inbreeding(made):
    sire, dam = made[-1][0], made[-2][0]
    ped = Pedigree.from_rows([*made, ("x", sire, dam), ("y", sire, dam)])
    f = dict(zip(ped.ids, ped.inbreeding().tolist(), strict=True))
    assert f["x"] == f["y"] == ped.kinship(sire, dam)


@SETTINGS
@given(rows())
def test_species_shares_sum_to_one(made):
    ped = Pedigree.from_rows(made)
    base = {0: {"motoro": Fraction(1)}, 1: {"leopoldi": Fraction(1, 3)}}
    for shares in composition(ped, base).values():
        assert sum(shares.values()) == 1
        assert min(shares.values()) > 0


@SETTINGS
@given(rows())
def test_a_pedigree_grown_row_by_row_is_the_same(made):
    grown = Pedigree.from_rows(made[:2])
    for row in made[2:]:
        grown.inbreeding()
        grown = grown.with_rows([row])
    whole = Pedigree.from_rows(made)
    assert grown.ids == whole.ids
    np.testing.assert_allclose(grown.inbreeding(), whole.inbreeding(), rtol=0, atol=1e-14)
    np.testing.assert_allclose(values(grown), values(whole), rtol=0, atol=1e-14)
    assert list(grown.rows()) == list(whole.rows())


@SETTINGS
@given(rows())
def test_ancestors_and_descendants_mirror_each_other(made):
    ped = Pedigree.from_rows(made)
    for animal in ped.ids:
        assert animal not in ped.ancestors(animal)
        for ancestor in ped.ancestors(animal):
            assert animal in ped.descendants(ancestor)


@SETTINGS
@given(rows())
def test_completeness_is_from_0_to_1_and_never_rises(made):
    ped = Pedigree.from_rows(made)
    depth = dict(zip(ped.ids, equivalent_generations(ped).tolist(), strict=True))
    for animal in ped.ids:
        known = completeness(ped, animal, 4)
        assert np.all((known >= 0) & (known <= 1))
        assert np.all(np.diff(known) <= 1e-15)
        assert 0 <= completeness_index(ped, animal, 4) <= 1
        deep = completeness(ped, animal, len(made))
        assert abs(deep.sum() - depth[animal]) < 1e-12
        assert [float(one.known / one.possible) for one in known_ancestors(ped, animal, 4)] == (
            known.tolist()
        )


@SETTINGS
@given(rows(), st.integers(0, 4))
def test_mean_kinship_of_the_living_is_kept_through_litters(made, young):
    ped = Pedigree.from_rows(made)
    names = list(ped.ids[-3:])
    pups = [f"p{n}" for n in range(young)]
    grown = LivingKinship.of(ped, names).with_litter(pups, names[0], names[1])
    anew = ped.with_rows([(pup, names[0], names[1]) for pup in pups])
    np.testing.assert_allclose(
        grown.mean_kinship, mean_kinship(anew, names + pups), rtol=0, atol=1e-12
    )
