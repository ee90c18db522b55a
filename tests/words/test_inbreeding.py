"""Inbreeding in words, against published coefficients."""

import re
from fractions import Fraction

import pytest

from breeding.words.descent.kin import inbreeding_words
from breeding.words.descent.through.reasons import reason_sentences, sire_heading, with_reasons
from breeding.words.descent.who import Who
from pedigree import Pedigree, explain, inbred, known_ancestors
from tests.pedigree import published

MALES = {"Altair", "Deneb", "Rigel", "Castor"}


def names(ped):
    return {name: Who(str(name), "M" if name in MALES else "F") for name in ped.ids}


def say(ped, animal):
    """F and through whom, as a sheet prints it, of a pedigree that holds nobody else."""
    rows = [row for row in ped.rows() if row[0] in ped.ancestors(animal) | {animal}]
    ped = Pedigree.from_rows(rows)
    found, who = inbred(ped, animal), names(ped)
    said = inbreeding_words(found, known_ancestors(ped, animal, 3), who)
    reasons = [
        (sire_heading(one.sire, one.share, who), reason_sentences(one.why, who))
        for one in found.under
    ]
    return with_reasons(said, reasons)


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
        "at least 25 % (1/4), as close as full siblings, or parent and young, from 6 of 14 "
        "possible ancestors in three generations: Altair and Vega are the parents of both parents "
        "(together 25 %)"
    )


def test_half_siblings():
    """F 1/8: Lange, Applied Probability, table 5.1 (kinship of half siblings)."""
    ped = pedigree(
        ("Mira", "Deneb", "Izar"),
        ("Deneb", "Altair", "Vega"),
        ("Izar", "Altair", "Spica"),
        of=("Altair", "Vega", "Spica"),
    )
    words = say(ped, "Mira")
    assert words.startswith("at least 12.5 % (1/8), as close as half siblings, from 6 of 14")
    assert words.endswith(": Altair is the sire of both parents (12.5 %)")


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
    words = say(ped, "Mira")
    assert words.startswith("at least 6.25 % (1/16), as close as first cousins, from 10 of 14")
    assert words.endswith(": Altair and Vega are grandparents of both parents (together 6.25 %)")


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
    """Half siblings whose common sire is inbred by 1/4: 1/8 x 5/4 = 15.625 % (own arithmetic)."""
    ped = pedigree(
        ("Mira", "Deneb", "Izar"),
        ("Deneb", "Altair", "Vega"),
        ("Izar", "Altair", "Spica"),
        ("Altair", "P", "Q"),
        ("P", "R", "S"),
        ("Q", "R", "S"),
        of=("R", "S", "Vega", "Spica"),
    )
    words = say(ped, "Mira")
    assert words.startswith("at least 15.63 % (5/32), closer than half siblings, from ")
    assert words.endswith(": Altair is the sire of both parents, itself inbred (F 25 %) (15.63 %)")


def test_roan_gauntlet():
    """F 9/64 by two paths of four and two of seven animals: Lynch & Walsh 1998, chapter 7."""
    ped = published.pedigree("lynch_walsh_roan_gauntlet")
    animal = next(name for name in ped.ids if "gauntlet" in name.lower())
    why = explain(ped, ped.sire(animal), ped.dam(animal))
    assert why.inbreeding == Fraction(9, 64)
    sentence = say(ped, animal)
    assert sentence.startswith("at least 14.06 % (9/64), closer than half siblings, from ")
    assert why.path_count == 4
    parts = reason_sentences(why, names(ped))
    assert len(parts) == len({(one.contribution, *one.paths.items()) for one in why.ancestors})


def test_many_common_ancestors_are_summed_after_the_largest():
    """Full siblings for three generations, F 1/2: Wright 1921 (1/4, 3/8, 1/2)."""
    rows = [("a0", None, None), ("b0", None, None)]
    for n in range(1, 4):
        rows += [(f"a{n}", f"a{n - 1}", f"b{n - 1}"), (f"b{n}", f"a{n - 1}", f"b{n - 1}")]
    ped = Pedigree.from_rows([*rows, ("Mira", "a3", "b3")])
    why = explain(ped, "a3", "b3")
    assert why.inbreeding == Fraction(1, 2)
    short = reason_sentences(why, names(ped), most=1)
    assert len(short) == 2
    assert re.fullmatch(r"\w+ more common ancestors add .* together, by .* lines", short[-1])
    assert say(ped, "Mira").startswith(
        "50 % (1/2), closer than full siblings, or parent and young, from 14 of 14 possible "
    )


def test_no_common_ancestor():
    ped = pedigree(("Mira", "Deneb", "Vega"), of=("Deneb", "Vega"))
    assert say(ped, "Mira") == (
        "0 % as far as is known: no common ancestor of the parents is on record, from 2 of 14 "
        "possible ancestors in three generations"
    )


@pytest.mark.parametrize(
    ("row", "who", "known"),
    [
        (("Mira", None, None), "both parents are", 0),
        (("Mira", None, "Vega"), "the sire is", 1),
        (("Mira", "Deneb", None), "the dam is", 1),
    ],
)
def test_an_unknown_parent_leaves_only_a_lower_bound(row, who, known):
    ped = pedigree(row, of=("Deneb", "Vega"))
    assert say(ped, "Mira") == (
        f"cannot be told while {who} unknown: at least 0 %, from {known} of 14 possible ancestors "
        "in three generations"
    )


def test_possible_sires_give_the_range_and_then_the_mean():
    """Half of the belief is a sire and daughter, F 1/4, so 1/8 is expected."""
    half = Fraction(1, 2)
    ped = pedigree(
        ("Mira", {"Altair": half, "Rigel": half}, "Izar"),
        ("Izar", "Altair", "Vega"),
        of=("Altair", "Vega", "Rigel"),
    )
    assert say(ped, "Mira") == (
        "from 0 % to 25 %: 25 %, as close as full siblings, or parent and young, if the sire is "
        "Altair and 0 % if he is Rigel; 12.5 % (1/8) expected by the shares of the possible sires "
        "as far as is known, from 4 of 14 possible ancestors in three generations: if Altair is "
        "the sire (1/2), the sire, Altair, is also the sire of Izar (25 %)"
    )


def test_possible_sires_that_leave_room_for_another_male():
    ped = pedigree(
        ("Mira", {"Altair": Fraction(1, 2)}, "Izar"),
        ("Izar", "Altair", "Vega"),
        of=("Altair", "Vega"),
    )
    assert "and 0 % if he is another male; 12.5 % (1/8) expected" in say(ped, "Mira")


def test_possible_sires_of_whom_none_is_kin():
    half = Fraction(1, 2)
    ped = pedigree(
        ("Mira", {"Altair": half, "Rigel": half}, "Vega"), of=("Altair", "Rigel", "Vega")
    )
    assert say(ped, "Mira") == (
        "0 % as far as is known, whoever of the possible sires it was: no common ancestor of the "
        "parents is on record, from 2 of 14 possible ancestors in three generations"
    )


def test_possible_sires_under_whom_f_is_the_same_leave_no_range():
    """Full brothers with their sister: F 1/4 under each, so nothing is an expectation."""
    half = Fraction(1, 2)
    ped = pedigree(
        ("Mira", {"Deneb": half, "Castor": half}, "Izar"),
        *((name, "Altair", "Vega") for name in ("Deneb", "Castor", "Izar")),
        of=("Altair", "Vega"),
    )
    assert say(ped, "Mira").startswith(
        "at least 25 % (1/4), whoever was its own sire, as close as full siblings, or parent and "
        "young, from 6 of 14"
    )


def test_an_uncertain_sire_of_a_parent_gives_a_range_and_a_hedged_reason():
    half = Fraction(1, 2)
    ped = pedigree(
        ("Mira", "Deneb", "Izar"),
        ("Deneb", "Altair", "Vega"),
        ("Izar", {"Altair": half, "Rigel": half}, "Spica"),
        of=("Altair", "Vega", "Rigel", "Spica"),
    )
    assert say(ped, "Mira") == (
        "from 0 % to 12.5 %: 12.5 %, as close as half siblings, if the sire of Izar is Altair and "
        "0 % if he is Rigel; 6.25 % (1/16) expected by the shares of the possible sires as far as "
        "is known, from 6 of 14 possible ancestors in three generations: Altair may be the sire of "
        "both parents (6.25 % expected)"
    )


def test_two_uncertain_sires_give_a_range_by_both():
    half = Fraction(1, 2)
    either = {"Altair": half, "Rigel": half}
    ped = pedigree(
        ("Mira", "Deneb", "Izar"),
        ("Deneb", either, "Vega"),
        ("Izar", either, "Spica"),
        of=("Altair", "Vega", "Rigel", "Spica"),
    )
    assert say(ped, "Mira").startswith(
        "from 0 % to 12.5 %, depending on who was the sire of Deneb and Izar; 6.25 % (1/16) "
        "expected by the shares of the possible sires as far as is known, from "
    )


def test_too_many_ways_leave_no_range_and_no_lower_bound():
    shares = {name: Fraction(1, 8) for name in "abcdefgh"}
    ped = pedigree(
        ("P", shares, None), ("Q", shares, "P"), ("Mira", shares, "Q"), of=tuple("abcdefgh")
    )
    words = say(ped, "Mira")
    assert words.startswith(
        "too many ways for a range: its own sire and the sire of P and Q may have been in 512 ways;"
    )
    assert "at least" not in words


def test_of_many_possible_sires_only_the_ends_are_named():
    shares = {name: Fraction(1, 8) for name in ("Altair", *"bcdefgh")}
    ped = pedigree(("Mira", shares, "Izar"), ("Izar", "Altair", None), of=("Altair", *"bcdefgh"))
    assert "if the sire is Altair and 0 % if he is " in say(ped, "Mira")
