"""Inbreeding in words, against published coefficients."""

from fractions import Fraction

import pytest
from breeding.buyers.ancestry_words import Relative
from breeding.buyers.kin_words import inbreeding_sentence, path_sentences

from pedigree import Pedigree, explain
from tests.pedigree import published

MALES = {"Altair", "Deneb", "Rigel", "Castor"}


def relatives(ped):
    return {name: Relative(str(name), "M" if name in MALES else "F") for name in ped.ids}


def say(ped, animal):
    return inbreeding_sentence(ped, animal, relatives(ped))


def founders(*names):
    return [(name, None, None) for name in names]


def pedigree(*rows, of=()):
    return Pedigree.from_rows([*rows, *founders(*of)])


def test_full_siblings():
    """F 1/4: Wright 1921, Genetics 6:111-178."""
    ped = pedigree(
        ("Mira", "Deneb", "Izar"),
        ("Deneb", "Altair", "Vega"),
        ("Izar", "Altair", "Vega"),
        of=("Altair", "Vega"),
    )
    assert say(ped, "Mira") == (
        "at least 25 %, as close as full siblings, or parent and young: Altair and Vega are the "
        "parents of both parents (together 25 %). Reckoned from 6 of 14 possible ancestors in "
        "three generations"
    )


def test_half_siblings():
    """F 1/8: Lange, Applied Probability, table 5.1 (kinship of half siblings)."""
    ped = pedigree(
        ("Mira", "Deneb", "Izar"),
        ("Deneb", "Altair", "Vega"),
        ("Izar", "Altair", "Spica"),
        of=("Altair", "Vega", "Spica"),
    )
    assert say(ped, "Mira").startswith(
        "at least 12.5 %, as close as half siblings: Altair is the sire of both parents (12.5 %)."
    )


def test_first_cousins():
    """F 1/16: Lange, Applied Probability, table 5.1."""
    ped = pedigree(
        ("Mira", "Deneb", "Izar"),
        ("Deneb", "Castor", "A"),
        ("Izar", "B", "C"),
        ("Castor", "Altair", "Vega"),
        ("C", "Altair", "Vega"),
        of=("Altair", "Vega", "A", "B"),
    )
    assert say(ped, "Mira").startswith(
        "at least 6.25 %, as close as first cousins: Altair and Vega are grandparents of both "
        "parents (together 6.25 %)."
    )


def test_a_parent_that_is_an_ancestor_of_the_other():
    """Sire and daughter: F 1/4 (Lange, table 5.1)."""
    ped = pedigree(("Mira", "Altair", "Izar"), ("Izar", "Altair", "Vega"), of=("Altair", "Vega"))
    assert "the sire, Altair, is also the sire of Izar (25 %)" in say(ped, "Mira")
    ped = pedigree(
        ("Mira", "Deneb", "Vega"),
        ("Deneb", "Rigel", "X"),
        ("X", "Altair", "Vega"),
        of=("Altair", "Vega", "Rigel"),
    )
    assert "the dam, Vega, is also a granddam of Deneb (12.5 %)" in say(ped, "Mira")


def test_steps_that_differ_are_said_for_each_side():
    """Half uncle and niece: F 1/16 (own arithmetic, (1/2)^(1 + 2 + 1))."""
    ped = pedigree(
        ("Mira", "Deneb", "Izar"),
        ("Deneb", "Altair", "Vega"),
        ("Izar", "B", "C"),
        ("C", "Altair", "Spica"),
        of=("Altair", "Vega", "Spica", "B"),
    )
    assert "Altair is the sire of Deneb and a grandsire of Izar (6.25 %)" in say(ped, "Mira")


def test_between_two_relationships_it_is_closer_than_the_farther():
    """Half siblings whose common sire is inbred by 1/4: 1/8 x 5/4 = 15.6 % (own arithmetic)."""
    ped = pedigree(
        ("Mira", "Deneb", "Izar"),
        ("Deneb", "Altair", "Vega"),
        ("Izar", "Altair", "Spica"),
        ("Altair", "P", "Q"),
        ("P", "R", "S"),
        ("Q", "R", "S"),
        of=("R", "S", "Vega", "Spica"),
    )
    assert say(ped, "Mira").startswith(
        "at least 15.6 %, closer than half siblings: Altair is the sire of both parents, inbred "
        "itself (15.6 %)."
    )


def test_roan_gauntlet():
    """F 9/64 by two paths of four and two of seven animals: Lynch & Walsh 1998, chapter 7."""
    ped = published.pedigree("lynch_walsh_roan_gauntlet")
    animal = next(name for name in ped.ids if "gauntlet" in name.lower())
    why = explain(ped, ped.sire(animal), ped.dam(animal))
    assert why.inbreeding == Fraction(9, 64)
    sentence = say(ped, animal)
    assert sentence.startswith("at least 14.1 %, closer than half siblings: ")
    assert why.path_count == 4
    parts = path_sentences(why, relatives(ped))
    assert len(parts) == len({(one.contribution, *one.paths.items()) for one in why.ancestors})


def test_many_common_ancestors_are_summed_after_the_largest():
    """Full siblings for three generations, F 1/2: Wright 1921 (1/4, 3/8, 1/2)."""
    rows = [("a0", None, None), ("b0", None, None)]
    for n in range(1, 4):
        rows += [(f"a{n}", f"a{n - 1}", f"b{n - 1}"), (f"b{n}", f"a{n - 1}", f"b{n - 1}")]
    ped = Pedigree.from_rows([*rows, ("Mira", "a3", "b3")])
    why = explain(ped, "a3", "b3")
    assert why.inbreeding == Fraction(1, 2)
    short = path_sentences(why, relatives(ped), most=1)
    assert len(short) == 2
    assert short[-1].startswith("further common ancestors add")
    assert say(ped, "Mira").startswith("50 %, closer than full siblings, or parent and young:")


def test_no_common_ancestor():
    ped = pedigree(("Mira", "Deneb", "Vega"), of=("Deneb", "Vega"))
    assert say(ped, "Mira") == (
        "0 % as far as is known: no common ancestor of the parents is on record, from 2 of 14 "
        "possible ancestors in three generations"
    )


@pytest.mark.parametrize(
    ("row", "who"),
    [
        (("Mira", None, None), "neither parent is known"),
        (("Mira", None, "Vega"), "the sire is unknown"),
        (("Mira", "Deneb", None), "the dam is unknown"),
    ],
)
def test_an_unknown_parent_leaves_nothing_to_tell(row, who):
    ped = pedigree(row, of=("Deneb", "Vega"))
    assert say(ped, "Mira") == (
        f"cannot be told, because {who}; counted as unrelated, F would be 0 %"
    )


def test_possible_sires_give_what_is_expected_and_each_case():
    """Half of the belief is a sire and daughter, F 1/4, so 1/8 is expected."""
    half = Fraction(1, 2)
    ped = pedigree(
        ("Mira", {"Altair": half, "Rigel": half}, "Izar"),
        ("Izar", "Altair", "Vega"),
        of=("Altair", "Vega", "Rigel"),
    )
    assert say(ped, "Mira") == (
        "at least 12.5 % expected by the shares of the possible sires: 25 %, as close as full "
        "siblings, or parent and young, if the sire is Altair and 0 % if the sire is Rigel. "
        "Reckoned from 4 of 14 possible ancestors in three generations"
    )


def test_possible_sires_that_leave_room_for_another_male():
    ped = pedigree(
        ("Mira", {"Altair": Fraction(1, 2)}, "Izar"),
        ("Izar", "Altair", "Vega"),
        of=("Altair", "Vega"),
    )
    assert "0 % as far as is known if it is another male" in say(ped, "Mira")


def test_possible_sires_of_whom_none_is_kin():
    half = Fraction(1, 2)
    ped = pedigree(
        ("Mira", {"Altair": half, "Rigel": half}, "Vega"), of=("Altair", "Rigel", "Vega")
    )
    assert say(ped, "Mira") == (
        "0 % as far as is known: no common ancestor of the parents is on record, whichever of the "
        "possible sires it was, from 2 of 14 possible ancestors in three generations"
    )


def test_an_uncertain_sire_of_an_ancestor_makes_it_expected():
    half = Fraction(1, 2)
    ped = pedigree(
        ("Mira", "Deneb", "Izar"),
        ("Deneb", "Altair", "Vega"),
        ("Izar", {"Altair": half, "Rigel": half}, "Spica"),
        of=("Altair", "Vega", "Rigel", "Spica"),
    )
    assert "6.25 %, expected, for the sire of an ancestor is uncertain, as close as" in say(
        ped, "Mira"
    )
