"""Every published pedigree gives its published values, exactly.

The sources stand in the JSON files: Lynch & Walsh 1998, Mrode 2014, Christensen's web textbook,
Wright 1921; those marked "own construction" were verified two ways.
"""

from fractions import Fraction

import pytest

from pedigree import Pedigree, completeness, composition, equivalent_generations, explain
from tests.pedigree import published

WITH_F = [name for name in published.NAMES if "F" in published.values(name)]
WITH_TABLE = [name for name in published.NAMES if isinstance(published.values(name).get("A"), list)]


@pytest.mark.parametrize("name", WITH_F)
def test_inbreeding_is_the_published_one(name):
    pedigree = published.pedigree(name)
    found = dict(zip(pedigree.ids, pedigree.inbreeding().tolist(), strict=True))
    wanted = {animal: float(Fraction(f)) for animal, f in published.values(name)["F"].items()}
    assert {animal: found[animal] for animal in wanted} == wanted


@pytest.mark.parametrize("name", WITH_TABLE)
def test_relationships_are_the_published_table(name):
    pedigree = published.pedigree(name)
    table = [[float(Fraction(cell)) for cell in row] for row in published.values(name)["A"]]
    assert (2 * pedigree.kinship_matrix(pedigree.ids)).tolist() == table


def test_several_possible_sires_give_the_table_worked_out_by_hand():
    # Henderson 1988, J Anim Sci 66:1614-1621; own construction, two ways.
    pedigree = published.pedigree("own_uncertain_paternity")
    for pair, a in published.values("own_uncertain_paternity")["A"].items():
        one, other = pair.split("|")
        assert 2 * pedigree.kinship(one, other) == float(Fraction(a)), pair


def test_roan_gauntlet_has_nine_sixty_fourths_by_two_short_and_two_long_paths():
    # Lynch & Walsh 1998 ch. 7, after Wright 1922, Am Nat 56:330-338.
    found = explain(
        published.pedigree("lynch_walsh_roan_gauntlet"), "Royal Duke of Gloster", "Princess Royal"
    )
    assert found.inbreeding == Fraction(9, 64)
    assert [(one.id, one.paths) for one in found.ancestors] == [
        ("Champion of England", {(2, 1): 2}),
        ("Lord Raglan", {(3, 3): 2}),
    ]
    assert sorted(len(path) for path in found.walk(9)) == [4, 4, 7, 7]


@pytest.mark.parametrize("name", WITH_F)
def test_the_paths_of_every_animal_sum_to_its_inbreeding(name):
    pedigree = published.pedigree(name)
    for animal, f in zip(pedigree.ids, pedigree.inbreeding().tolist(), strict=True):
        sires, dam = pedigree.sires(animal), pedigree.dam(animal)
        if len(sires) == 1 and dam is not None:
            found = explain(pedigree, next(iter(sires)), dam)
            assert float(found.inbreeding) == f, animal
            assert sum(one.contribution for one in found.ancestors) == found.inbreeding


def standard_matings():
    return published.values("standard_matings")["matings"].items()


@pytest.mark.parametrize(("name", "mating"), standard_matings())
def test_a_standard_mating_gives_its_textbook_value(name, mating):
    # Lange, Applied Probability, table 5.1, and definitions.
    pedigree = Pedigree.from_rows((one, *parents) for one, parents in mating["pedigree"].items())
    sire, dam = mating["pedigree"]["X"]
    assert explain(pedigree, sire, dam).inbreeding == Fraction(mating["F_X"])
    assert pedigree.kinship(sire, dam) == float(Fraction(mating["F_X"]))


def test_species_shares_are_the_exact_ones():
    values = published.values("own_hybrids")
    base = {animal: {label: Fraction(1)} for animal, label in values["base"].items()}
    found = composition(published.pedigree("own_hybrids"), base)
    for animal, shares in values["composition"].items():
        assert found[animal] == {label: Fraction(share) for label, share in shares.items()}


def test_known_ancestors_and_equivalent_generations_are_the_worked_ones():
    pedigree = published.pedigree("own_completeness")
    values = published.values("own_completeness")
    wanted = values["known ancestors of X in generations 1..3"]
    shares = completeness(pedigree, "X", 3).tolist()
    assert [round(share * 2**n) for n, share in enumerate(shares, 1)] == wanted
    depth = dict(zip(pedigree.ids, equivalent_generations(pedigree).tolist(), strict=True))
    assert depth == {one: float(Fraction(t)) for one, t in values["equivalent_generations"].items()}
