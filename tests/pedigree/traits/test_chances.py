"""Chances of genotypes: worked answers, laws, and every genotype of everybody."""

import random
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pedigree import (
    Contradiction,
    LineageError,
    Pedigree,
    SexLinked,
    TooTangled,
    UnknownAnimal,
    genotype_chances,
    likelihoods,
)
from tests.pedigree.families import random_rows
from tests.pedigree.traits import brute
from tests.tries import tries

NO, SHOWS = (1, 1, 0), (0, 0, 1)
EXACT = {"rtol": 0, "atol": 1e-12}
PAIR = [("S", None, None), ("D", None, None)]
LOOKS = [NO, NO, NO, SHOWS, (0.1, 0.7, 0.2), (0, 1, 0), (0.01, 0.01, 0.98), (0.5, 0, 0.5)]


def chances(rows, seen, frequency=0.3, **more):
    return genotype_chances(Pedigree.from_rows(rows), seen, frequency=frequency, **more)


def seen_at_random(rows, seed, part=0.5):
    chance = random.Random(seed)
    return {row[0]: chance.choice(LOOKS) for row in rows if chance.random() < part}


# ----------------------------------------------------------------------------- worked answers


@pytest.mark.parametrize("frequency", [0.001, 0.3, 0.9])
def test_two_that_do_not_show_it_have_a_young_that_does(frequency):
    rows = [*PAIR, ("P", "S", "D"), ("Q", "S", "D")]
    found = chances(rows, {"S": NO, "D": NO, "P": SHOWS, "Q": NO}, frequency)
    np.testing.assert_allclose(found["S"], [0, 1, 0], **EXACT)
    np.testing.assert_allclose(found["D"], [0, 1, 0], **EXACT)
    np.testing.assert_allclose(found["Q"], [1 / 3, 2 / 3, 0], **EXACT)


def test_a_founder_test_crossed_with_five_young_that_do_not_show_it():
    # Hardy-Weinberg at q = 1/2 leaves 1/3, 2/3; each young halves the odds of 2: 2/32 against 1.
    rows = [*PAIR, *((n, "S", "D") for n in range(5))]
    found = chances(rows, {"S": NO, "D": SHOWS, **dict.fromkeys(range(5), NO)}, 0.5)
    np.testing.assert_allclose(found["S"], [16 / 17, 1 / 17, 0], **EXACT)
    np.testing.assert_allclose(found[0], [0, 1, 0], **EXACT)


@pytest.mark.parametrize(("young", "carrier"), [(4, 1 / 17), (5, 1 / 33)])
def test_each_young_of_a_test_cross_halves_even_odds(young, carrier):
    # S is out of a carrier and one free of it: even odds.
    rows = [*PAIR, ("X", None, None), ("T", "S", "D"), *((n, "T", "X") for n in range(young))]
    seen = {"S": (0, 1, 0), "D": (1, 0, 0), "X": SHOWS, **dict.fromkeys(range(young), NO)}
    np.testing.assert_allclose(chances(rows, seen)["T"], [1 - carrier, carrier, 0], **EXACT)


def test_the_pedigree_of_a_problem_set():
    # Rosalind, "Inferring Genotype from a Pedigree" (MEND), its sample: 0.156, 0.5, 0.344 for AA,
    # Aa, aa of ((((Aa,aa),(Aa,Aa)),((aa,aa),(aa,AA))),Aa).
    rows, seen = [], {}

    def grown(tree):
        name = len(rows)
        rows.append(None)
        if isinstance(tree, str):
            seen[name] = {"AA": (1, 0, 0), "Aa": (0, 1, 0), "aa": SHOWS}[tree]
            rows[name] = (name, None, None)
        else:
            rows[name] = (name, grown(tree[0]), grown(tree[1]))
        return name

    root = grown((((("Aa", "aa"), ("Aa", "Aa")), (("aa", "aa"), ("aa", "AA"))), "Aa"))
    assert chances(rows, seen)[root].round(3).tolist() == [0.156, 0.5, 0.344]
    np.testing.assert_allclose(chances(rows, seen)[root], [5 / 32, 1 / 2, 11 / 32], **EXACT)


def test_first_cousins_of_a_carrier_grandparent():
    # A carrier founder, its mate and those marrying in free of it: each child carries with 1/2,
    # each cousin with 1/4; both carry with 1/16, and their young shows it with 1/64.
    free = (1, 0, 0)
    rows = [*PAIR, ("A", "S", "D"), ("B", "S", "D"), ("M", None, None), ("N", None, None),
            ("C", "A", "M"), ("E", "N", "B"), ("Y", "C", "E")]  # fmt: skip
    found = chances(rows, {"S": (0, 1, 0), "D": free, "M": free, "N": free})
    np.testing.assert_allclose(found["C"], [3 / 4, 1 / 4, 0], **EXACT)
    np.testing.assert_allclose(found["Y"], [49 / 64, 14 / 64, 1 / 64], **EXACT)


@pytest.mark.parametrize("frequency", [0.01, 0.2])
def test_young_of_first_cousins_show_a_rare_trait_more_often(frequency):
    # Textbook: q^2 + F q (1 - q) with F = 1/16 (Falconer & Mackay 1996, ch. 3).
    rows = [*PAIR, ("A", "S", "D"), ("B", "S", "D"), ("C", "A", None), ("E", None, "B"),
            ("Y", "C", "E")]  # fmt: skip
    wanted = frequency**2 + frequency * (1 - frequency) / 16
    assert chances(rows, {}, frequency)["Y"][2] == pytest.approx(wanted, abs=1e-15)


def test_the_sibling_of_an_affected_parent_of_first_cousins_young():
    # A young of first cousins shows it, so both cousins carry it; their own parents A and B then
    # share it by descent unless the gene came in twice.
    rows = [*PAIR, ("A", "S", "D"), ("B", "S", "D"), ("C", "A", None), ("E", None, "B"),
            ("Y", "C", "E")]  # fmt: skip
    found = chances(rows, {"Y": SHOWS, "C": NO, "E": NO}, 0.1)
    np.testing.assert_allclose(found["C"], [0, 1, 0], **EXACT)
    by_hand = brute.chances(rows, {"Y": SHOWS, "C": NO, "E": NO}, 0.1)
    np.testing.assert_allclose(found["A"], by_hand["A"], **EXACT)
    assert found["A"][1:].sum() > 0.5  # against 0.19 of a founder


def test_littermates_share_the_one_sire_they_may_have():
    # One of two sires, one shows it and one is free; the dam shows it. Littermates are all alike.
    half = Fraction(1, 2)
    rows = [*PAIR, ("T", None, None),
            ("P", {"S": half, "T": half}, "D", "L"), ("Q", {"S": half, "T": half}, "D", "L"),
            ("R", {"S": half, "T": half}, "D", None)]  # fmt: skip
    found = chances(rows, {"S": SHOWS, "T": (1, 0, 0), "D": SHOWS, "P": SHOWS})
    np.testing.assert_allclose(found["Q"], [0, 0, 1], **EXACT)
    np.testing.assert_allclose(found["R"], [0, 1 / 2, 1 / 2], **EXACT)


def test_littermates_share_one_unknown_sire():
    rows = [("D", None, None), ("P", None, "D", "L"), ("Q", None, "D", "L"), ("R", None, "D")]
    found = chances(rows, {"D": SHOWS, "P": SHOWS}, 0.1)
    # The sire of P hands it on: he has two copies with 0.1, one with 0.9.
    np.testing.assert_allclose(found["Q"], [0, 0.45, 0.55], **EXACT)
    np.testing.assert_allclose(found["R"], [0, 0.9, 0.1], **EXACT)


# -------------------------------------------------------------------------------------- laws


@pytest.mark.parametrize("seed", range(60))
def test_every_genotype_of_everybody(seed):
    chance = random.Random(seed)
    rows = random_rows(
        seed,
        animals=chance.choice([5, 6, 7]),
        uncertain=chance.choice([0, 0.4]),
        unknown=chance.choice([0.1, 0.3]),
        selfing=chance.random() < 0.2,
    )
    seen = seen_at_random(rows, seed, chance.choice([0.2, 0.6, 0.9]))
    agrees(rows, seen, chance.choice([0.05, 0.3, 0.5]))


@pytest.mark.parametrize("seed", range(40))
def test_every_genotype_where_much_contradicts(seed):
    """Certain looks at random on everybody: some of these cannot be."""
    chance = random.Random(seed)
    rows = random_rows(seed, animals=6, uncertain=0.2, unknown=0.1)
    looks = [(1, 0, 0), (1, 1, 0), (1, 1, 0), (0, 1, 1), (0, 1, 0), (1, 1, 1), SHOWS]
    agrees(rows, {row[0]: chance.choice(looks) for row in rows}, 0.3)


def agrees(rows, seen, frequency, sex=None, **more):
    wanted = brute.chances(rows, seen, frequency, sex)
    if wanted is None:
        with pytest.raises(Contradiction) as told:
            chances(rows, seen, frequency, **more)
        assert brute.chances(rows, {one: seen[one] for one in told.value.animals}, 0.3, sex) is None
        for spare in told.value.animals:
            others = {one: seen[one] for one in told.value.animals if one != spare}
            assert brute.chances(rows, others, 0.3, sex) is not None
        return
    found = chances(rows, seen, frequency, **more)
    for animal, _, *_ in rows:
        np.testing.assert_allclose(found[animal], wanted[animal], rtol=1e-9, atol=1e-13)


@settings(max_examples=tries(40), deadline=None)
@given(st.data())
def test_every_genotype_through_closed_loops(data):
    """Everybody of two founders and their descendants: as many loops as can be."""
    count = data.draw(st.integers(4, 8))
    rows = list(PAIR)
    for name in range(2, count):
        older = [row[0] for row in rows]
        one = data.draw(st.sampled_from(older))
        other = data.draw(st.sampled_from([old for old in older if old != one]))
        rows.append((name, one, other))
    look = st.sampled_from([None, None, *LOOKS])
    drawn = {row[0]: data.draw(look) for row in rows}
    agrees(rows, {one: values for one, values in drawn.items() if values}, 0.3)


@pytest.mark.parametrize("seed", range(30))
@pytest.mark.parametrize("one_copy", ["males", "females"])
def test_every_genotype_of_a_sex_linked_gene(seed, one_copy):
    chance = random.Random(seed)
    rows, sex = [], {}
    for name in range(6):
        males = [one for one in sex if sex[one] == "m"]
        females = [one for one in sex if sex[one] == "f"]
        sire = chance.choice([None, *males]) if name > 1 else None
        dam = chance.choice([None, *females]) if name > 1 else None
        rows.append((name, sire, dam))
        sex[name] = chance.choice("mf") if name > 1 else "mf"[name]
    single = "m" if one_copy == "males" else "f"
    looks = {True: [(1, 0, 0), (0, 1, 0), (0.2, 0.8, 0)], False: LOOKS}
    seen = {one: chance.choice(looks[sex[one] == single]) for one in sex if chance.random() < 0.5}
    females = [one for one in sex if sex[one] == "f"]
    males = [one for one in sex if sex[one] == "m"]
    linked = SexLinked.of(females, males, one_copy)
    by_hand, parts = rows, sex
    if one_copy == "females":  # the oracle knows XY alone: the same with the sexes turned round
        by_hand = [(one, dam, sire) for one, sire, dam in rows]
        parts = {one: "f" if part == "m" else "m" for one, part in sex.items()}
    wanted = brute.chances(by_hand, seen, 0.3, parts)
    if wanted is None:
        with pytest.raises(Contradiction):
            chances(rows, seen, sex_linked=linked)
        return
    found = chances(rows, seen, sex_linked=linked)
    for animal in sex:
        np.testing.assert_allclose(found[animal], wanted[animal], rtol=1e-9, atol=1e-13)


def test_a_sex_linked_gene_from_one_of_two_sires():
    third = Fraction(1, 3)
    rows = [*PAIR, ("T", None, None), ("P", {"S": third, "T": third}, "D", "L"),
            ("Q", {"S": third, "T": third}, "D", "L"), ("Y", "P", "Q")]  # fmt: skip
    sex = {"S": "m", "T": "m", "D": "f", "P": "m", "Q": "f", "Y": "f"}
    seen = {"S": (0, 1, 0), "D": (0.5, 1, 0), "Y": (0.2, 0.5, 1)}
    linked = SexLinked.of(["Q", "Y"], ["P", "S", "T"])
    found, wanted = chances(rows, seen, sex_linked=linked), brute.chances(rows, seen, 0.3, sex)
    for animal in sex:
        np.testing.assert_allclose(found[animal], wanted[animal], **EXACT)


@pytest.mark.parametrize("seed", range(8))
def test_with_nothing_seen_inbreeding_makes_what_shows_it(seed):
    # P(2 copies) = q^2 + F q (1 - q), with F from kinship, uncertain sires too.
    rows = random_rows(seed, animals=40, uncertain=0.2)
    ped, q = Pedigree.from_rows(rows), 0.2
    found = genotype_chances(ped, {}, frequency=q)
    two = [found[animal][2] for animal in ped.ids]
    np.testing.assert_allclose(two, q**2 + ped.inbreeding() * q * (1 - q), **EXACT)
    for values in found.values():
        np.testing.assert_allclose(values @ [0, 1, 2], 2 * q, **EXACT)


@pytest.mark.parametrize("seed", range(8))
def test_a_look_that_says_nothing_changes_nothing(seed):
    rows = random_rows(seed, animals=25, uncertain=0.2)
    seen = {row[0]: (1, 1, 0) for row in rows[::4]}
    mute = {row[0]: (0.3, 0.3, 0.3) for row in rows if row[0] not in seen}
    one, other = chances(rows, seen), chances(rows, {**seen, **mute})
    for animal, *_ in rows:
        np.testing.assert_allclose(one[animal], other[animal], **EXACT)


@pytest.mark.parametrize("seed", range(6))
def test_chances_are_the_mean_of_what_an_animal_may_turn_out_to_be(seed):
    """The law of total chance: what is found of one, weighed by its chances, is what was known."""
    rows = random_rows(seed, animals=30, uncertain=0.1)
    seen = {row[0]: (1, 1, 0) for row in rows[::3]}
    before = chances(rows, seen)
    asked = rows[1][0]
    mean = dict.fromkeys(before, np.zeros(3))
    for copies, chance in enumerate(before[asked]):
        if chance > 0:
            told = {**seen, asked: np.eye(3)[copies].tolist()}
            for animal, values in chances(rows, told).items():
                mean[animal] = mean[animal] + chance * values
    for animal, values in before.items():
        np.testing.assert_allclose(mean[animal], values, **EXACT)


def test_animals_that_are_not_asked_about_together_or_apart_have_the_same_chances(monkeypatch):
    """Those below what was seen: through pairs of genes, or all in one tree."""
    rows = random_rows(3, animals=60, unknown=0.1)
    seen = {row[0]: (1, 1, 0) for row in rows[:8]}
    apart = chances(rows, seen)
    monkeypatch.setattr("pedigree.traits.below.EASY_QUESTIONS", -1)
    together = chances(rows, seen)
    for animal, *_ in rows:
        np.testing.assert_allclose(apart[animal], together[animal], **EXACT)


# ------------------------------------------------------------------------------- what is refused


def test_a_contradiction_names_its_animals():
    rows = [*PAIR, ("P", "S", "D"), ("Q", "S", "D"), ("R", None, "P")]
    seen = {"S": SHOWS, "D": SHOWS, "Q": NO, "R": NO}
    with pytest.raises(Contradiction, match="S, D, Q cannot be") as told:
        chances(rows, seen)
    assert told.value.animals == ("S", "D", "Q")


def test_a_contradiction_over_generations_names_its_animals():
    # S is free, so P has one copy at most; P and its littermate have Q, who has two; no more.
    rows = [
        ("A", None, None),
        ("S", "A", None),
        ("T", "A", None),
        ("P", "S", None),
        ("Q", "P", "T"),
    ]
    seen = {"A": NO, "S": (1, 0, 0), "P": (0, 0, 1), "T": NO, "Q": NO}
    with pytest.raises(Contradiction) as told:
        chances(rows, seen)
    assert told.value.animals == ("S", "P")


@pytest.mark.parametrize(
    ("seen", "frequency", "said"),
    [
        ({"S": (1, 1)}, 0.3, "three likelihoods"),
        ({"S": (0, 0, 0)}, 0.3, "impossible with 0, 1 and 2 copies"),
        ({"S": (1, -1, 0)}, 0.3, "0 or more"),
        ({"S": "no"}, 0.3, "three likelihoods"),
        ({}, 1.2, "from 0 to 1, not 1.2"),
        ({}, float("nan"), "from 0 to 1"),
    ],
)
def test_what_cannot_be_read_is_refused(seen, frequency, said):
    with pytest.raises(LineageError, match=said):
        chances(PAIR, seen, frequency)


def test_an_animal_without_a_row_is_refused():
    with pytest.raises(UnknownAnimal, match="X is not a row"):
        chances(PAIR, {"X": NO})


def test_too_tangled_a_pedigree_says_so():
    rows = random_rows(1, animals=60, unknown=0.0)
    with pytest.raises(TooTangled, match="allowed are 0"):
        chances(rows, {row[0]: (0.9, 0.5, 0.1) for row in rows}, most_megabytes=0.001)


def test_what_no_founder_has_cannot_be_seen():
    with pytest.raises(Contradiction) as told:
        chances(PAIR, {"S": SHOWS, "D": NO}, 0.0)
    assert told.value.animals == ("S",)


def test_a_gene_that_no_founder_has_is_nowhere():
    found = chances([*PAIR, ("P", "S", "D")], {"S": NO}, 0.0)
    assert found["P"].tolist() == [1, 0, 0]


def test_what_needs_the_sex_asks_for_it():
    rows = [*PAIR, ("P", "S", "D")]
    linked = SexLinked.of([], [])
    with pytest.raises(LineageError, match="The sex of P is not given"):
        chances(rows, {"P": (0, 1, 0)}, sex_linked=linked)
    found = chances(rows, {"S": (0, 1, 0), "D": (1, 0, 0)}, sex_linked=linked)
    assert found["P"].tolist() == [0.5, 0.5, 0]  # a daughter carries it, a son does not
    with pytest.raises(LineageError, match="S is a female and a male"):
        chances(rows, {}, sex_linked=SexLinked.of(["S"], []))
    with pytest.raises(LineageError, match="its sex has one"):
        chances(rows, {"S": SHOWS}, sex_linked=linked)
    with pytest.raises(LineageError, match="S is given as a female and as a male"):
        SexLinked.of(["S"], ["S"])


# ----------------------------------------------------------------------------- what a look says


@pytest.mark.parametrize(
    ("inheritance", "look", "said"),
    [
        ("recessive", "shows", (0, 0, 1)),
        ("recessive", "does not", (1, 1, 0)),
        ("dominant", "shows", (0, 1, 1)),
        ("dominant", "does not", (1, 0, 0)),
        ("codominant", "one", (0, 1, 0)),
    ],
)
def test_a_look_says_which_copies_can_be(inheritance, look, said):
    assert likelihoods(inheritance, look) == said


def test_a_single_copy_is_seen_whole():
    assert likelihoods("recessive", "shows", has_one_copy=True) == (0, 1, 0)
    assert likelihoods("codominant", "two", mistaken=0.1, has_one_copy=True) == (0.1, 0.9, 0)


@pytest.mark.parametrize(
    ("inheritance", "look", "more", "said"),
    [
        ("blended", "shows", {}, "A trait is recessive"),
        ("recessive", "one", {}, "is seen as shows, does not"),
        ("codominant", "one", {"has_one_copy": True}, "is seen as"),
        ("recessive", "shows", {"mistaken": 2}, "from 0 to 1"),
    ],
)
def test_a_look_that_is_none_is_refused(inheritance, look, more, said):
    with pytest.raises(LineageError, match=said):
        likelihoods(inheritance, look, **more)
